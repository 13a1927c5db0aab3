using HeatSpread.Service.Storage;
using HeatSpread.Service.Tenants;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Logging.Abstractions;
using Microsoft.Extensions.Options;

namespace HeatSpread.Service.Tests;

public sealed class RetentionTests : IDisposable
{
    private readonly TemporaryFolder _folder = new();

    [Fact]
    public async Task The_oldest_go_by_age_and_by_size_and_their_layouts_by_age()
    {
        await using var service = new ServiceUnderTest(_folder.Path);
        using var client = service.CreateClient();
        var ids = new List<string>();
        foreach (string name in (string[])["old", "middle", "young"]) ids.Add((await client.Solve(Boards.Plate(name))).GetProperty("id").GetString()!);
        var workspace = service.Services.GetRequiredService<Workspaces>().Of("");
        long each = workspace.Solutions.Bytes(ids[0]);
        Assert.InRange(each, 80 * 60 * 4, 1 << 20);

        Assert.Equal((0, 0), Sweep(service, workspace, new() { KeepDays = 1, KeepBytes = 4 * each }, TimeProvider.System));
        Assert.Equal((1, 0), Sweep(service, workspace, new() { KeepBytes = each * 5 / 2 }, TimeProvider.System));
        Assert.Equal([ids[2], ids[1]], workspace.Solutions.List().Select(s => s.Id));
        string comparison = (await client.PostJson("/v1/comparisons", $$"""{ "baseline": "{{ids[1]}}", "candidates": ["{{ids[2]}}"] }""").Success()).GetProperty("id").GetString()!;
        Assert.Equal((0, 1), Sweep(service, workspace, new() { KeepDays = 7, KeepBytes = 1 }, new Later(TimeSpan.FromDays(8))));
        Assert.Equal([ids[2], ids[1]], workspace.Solutions.List().Select(s => s.Id)); // the comparison refers to both
        (await client.Delete($"/v1/comparisons/{comparison}")).Dispose();
        Assert.Equal((2, 2), Sweep(service, workspace, new() { KeepDays = 7 }, new Later(TimeSpan.FromDays(8))));
        Assert.Empty((await client.Get("/v1/layouts").Success()).GetProperty("layouts").EnumerateArray());
    }

    public void Dispose() => _folder.Dispose();

    private static (int, int) Sweep(ServiceUnderTest service, Workspace workspace, ServiceSettings settings, TimeProvider clock)
    {
        using var retention = new Retention(service.Services.GetRequiredService<Workspaces>(), Options.Create(settings), clock, NullLogger<Retention>.Instance);
        return retention.Sweep(workspace);
    }

    private sealed class Later(TimeSpan by) : TimeProvider
    {
        public override DateTimeOffset GetUtcNow() => System.GetUtcNow() + by;
    }
}
