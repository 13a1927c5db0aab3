using System.Net;

namespace HeatSpread.Service.Tests.Reports;

/// <summary>The reports of a solved pair, written twice and once more after a restart: drawing takes time, so all tests look at these.</summary>
public sealed class ReportFiles : IAsyncLifetime
{
    private readonly TemporaryFolder _folder = new();
    private ServiceUnderTest? _service;

    /// <summary>Of the service after its restart.</summary>
    public HttpClient Client { get; private set; } = null!;

    public string PageAddress { get; private set; } = "";

    public string PdfAddress { get; private set; } = "";

    /// <summary>Page and PDF as first written, as written again, and as written after the restart.</summary>
    public IReadOnlyList<(byte[] Page, byte[] Pdf)> Written { get; private set; } = [];

    public byte[] Page => Written[0].Page;

    public byte[] Pdf => Written[0].Pdf;

    /// <summary>The PDF on the other paper.</summary>
    public byte[] Letter { get; private set; } = [];

    public async ValueTask InitializeAsync()
    {
        var written = new List<(byte[] Page, byte[] Pdf)>();
        using (var service = new ServiceUnderTest(_folder.Path))
        {
            using var client = service.CreateClient();
            await Compare(client);
            written.Add((await Get(client, PageAddress), await Get(client, PdfAddress)));
            written.Add((await Get(client, PageAddress), await Get(client, PdfAddress)));
            Letter = await Get(client, PdfAddress + "&paper=letter");
        }
        _service = new ServiceUnderTest(_folder.Path);
        Client = _service.CreateClient();
        written.Add((await Get(Client, PageAddress), await Get(Client, PdfAddress)));
        Written = written;
    }

    public ValueTask DisposeAsync()
    {
        Client?.Dispose();
        _service?.Dispose();
        _folder.Dispose();
        return ValueTask.CompletedTask;
    }

    private async Task Compare(HttpClient client)
    {
        string baseline = (await client.Solve(Boards.Plate("reported", watts: 1.2))).GetProperty("id").GetString()!, candidate = (await client.Solve(Boards.Plate("reported", watts: 1.7))).GetProperty("id").GetString()!;
        var comparison = await client.PostJson("/v1/comparisons", $$"""{ "baseline": "{{baseline}}", "candidates": ["{{candidate}}"] }""").Success();
        var links = comparison.GetProperty("candidates")[0].GetProperty("reports");
        (PageAddress, PdfAddress) = (links.GetProperty("html").GetString()!, links.GetProperty("pdf").GetString()!);
    }

    private static async Task<byte[]> Get(HttpClient client, string address)
    {
        using var response = await client.Get(address);
        Assert.Equal(HttpStatusCode.OK, response.StatusCode);
        return await response.Bytes();
    }
}
