using System.Globalization;
using System.Net;
using System.Text.Json;
using HeatSpread.Service.Jobs;
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

        Assert.Equal(new(0, 0, 0), await Sweep(service, workspace, new() { KeepDays = 1, KeepBytes = 4 * each }, TimeProvider.System));
        Assert.Equal(new(1, 0, 0), await Sweep(service, workspace, new() { KeepBytes = each * 5 / 2 }, TimeProvider.System));
        Assert.Equal([ids[2], ids[1]], workspace.Solutions.List().Select(s => s.Id));
        string comparison = (await client.PostJson("/v1/comparisons", $$"""{ "baseline": "{{ids[1]}}", "candidates": ["{{ids[2]}}"] }""").Success()).GetProperty("id").GetString()!;
        Assert.Equal(new(0, 0, 1), await Sweep(service, workspace, new() { KeepDays = 7, KeepBytes = 1 }, new Later(TimeSpan.FromDays(8))));
        Assert.Equal([ids[2], ids[1]], workspace.Solutions.List().Select(s => s.Id)); // the comparison refers to both
        (await client.Delete($"/v1/comparisons/{comparison}")).Dispose();
        Assert.Equal(new(2, 0, 2), await Sweep(service, workspace, new() { KeepDays = 7 }, new Later(TimeSpan.FromDays(8))));
        Assert.Empty((await client.Get("/v1/layouts").Success()).GetProperty("layouts").EnumerateArray());
    }

    [Fact]
    public async Task Studies_go_with_the_solutions_by_age_and_size_and_keep_their_layouts_until_then()
    {
        await using var service = new ServiceUnderTest(_folder.Path);
        using var client = service.CreateClient();
        string first = (await client.PostJson("/v1/studies", Study("first", 1, 3)).Success()).GetProperty("id").GetString()!;
        string solution = (await client.Solve(Boards.Plate("solved"))).GetProperty("id").GetString()!;
        string last = (await client.PostJson("/v1/studies", Study("last", 1, 3)).Success()).GetProperty("id").GetString()!;
        var workspace = service.Services.GetRequiredService<Workspaces>().Of("");
        long total = workspace.Solutions.Bytes(solution) + workspace.Studies.Bytes(first) + workspace.Studies.Bytes(last);
        Assert.InRange(workspace.Studies.Bytes(first), 1000, 1 << 20);
        Assert.Equal(new(0, 0, 0), await Sweep(service, workspace, new() { KeepDays = 1, KeepBytes = total }, TimeProvider.System));
        Assert.Equal(new(0, 1, 0), await Sweep(service, workspace, new() { KeepBytes = total - 1 }, TimeProvider.System));
        Assert.Equal([last], workspace.Studies.List().Select(study => study.Id));
        Assert.Equal(new(1, 0, 0), await Sweep(service, workspace, new() { KeepBytes = workspace.Studies.Bytes(last) }, TimeProvider.System));
        Assert.Equal(["last", "solved", "first"], workspace.Layouts.List(null).Select(layout => layout.Name));
        var studied = workspace.Studies.Kept.Single().Created; // a moment after its layout came
        Assert.Equal(new(0, 0, 2), await Sweep(service, workspace, new() { KeepDays = 1 }, new At(studied.AddDays(1))));
        Assert.Equal(["last"], workspace.Layouts.List(null).Select(layout => layout.Name)); // as old as the others, but the study refers to it

        Assert.Equal(new(0, 1, 1), await Sweep(service, workspace, new() { KeepDays = 7 }, new Later(TimeSpan.FromDays(8))));
        using var gone = await client.Get("/v1/studies/" + last);
        Assert.Equal(HttpStatusCode.NotFound, gone.StatusCode);
    }

    [Fact]
    public async Task A_study_that_runs_stays_with_its_layout_and_one_that_was_cancelled_goes_with_all_that_was_known_of_it()
    {
        await using var service = new ServiceUnderTest(_folder.Path);
        using var client = service.CreateClient();
        var workspace = service.Services.GetRequiredService<Workspaces>().Of("");
        string study = await Accept(client, Study("runs", 0.1, 400));
        await Points(client, study);
        var strict = new ServiceSettings { KeepDays = 7, KeepBytes = 1 };
        Assert.Equal(default, await Sweep(service, workspace, strict, new Later(TimeSpan.FromDays(8))));
        Assert.Equal("running", (await Points(client, study)).GetProperty("state").GetString());
        Assert.Single(workspace.Layouts.List(null));

        (await client.Delete("/v1/studies/" + study)).Dispose();
        while ((await client.Get("/v1/studies/" + study).Success()).GetProperty("state").GetString() != "cancelled") await Task.Delay(20, TestContext.Current.CancellationToken);
        Assert.Equal(new(0, 1, 1), await Sweep(service, workspace, strict, new Later(TimeSpan.FromDays(8))));
        using var gone = await client.Get("/v1/studies/" + study);
        Assert.Equal(HttpStatusCode.NotFound, gone.StatusCode);
        foreach (string kind in (string[])["studies", "study-frames", "study-parts"]) Assert.Empty(Directory.GetDirectories(Path.Combine(_folder.Path, kind)));
    }

    public void Dispose() => _folder.Dispose();

    private static async Task<Swept> Sweep(ServiceUnderTest service, Workspace workspace, ServiceSettings settings, TimeProvider clock)
    {
        using var retention = new Retention(service.Services.GetRequiredService<Workspaces>(), service.Services.GetRequiredService<IWorkQueue>(), Options.Create(settings), clock, NullLogger<Retention>.Instance);
        return await retention.Sweep(workspace, TestContext.Current.CancellationToken);
    }

    /// <summary>A sweep in which every point is a solve of its own.</summary>
    private static string Study(string name, double pitchMm, int ambients) => string.Create(CultureInfo.InvariantCulture, $$"""
        { "layout": {{Boards.Plate(name)}}, "conditions": {{Boards.StillAir}}, "grid": { "pitchMm": {{pitchMm}} }, "axes": [{ "quantity": "ambientCelsius", "from": 20, "to": 80, "count": {{ambients}} }] }
        """);

    private static async Task<string> Accept(HttpClient client, string study)
    {
        using var request = new HttpRequestMessage(HttpMethod.Post, "/v1/studies") { Content = Requests.Json(study), Headers = { { "Prefer", "respond-async" } } };
        using var response = await client.SendAsync(request, TestContext.Current.CancellationToken);
        Assert.Equal(HttpStatusCode.Accepted, response.StatusCode);
        return (await response.Body()).GetProperty("id").GetString()!;
    }

    private static async Task<JsonElement> Points(HttpClient client, string study)
    {
        while (true)
        {
            var answer = await client.Get("/v1/studies/" + study).Success();
            if (answer.GetProperty("points").GetArrayLength() > 0) return answer;
            await Task.Delay(20, TestContext.Current.CancellationToken);
        }
    }

    private sealed class At(DateTimeOffset time) : TimeProvider
    {
        public override DateTimeOffset GetUtcNow() => time;
    }

    private sealed class Later(TimeSpan by) : TimeProvider
    {
        public override DateTimeOffset GetUtcNow() => System.GetUtcNow() + by;
    }
}
