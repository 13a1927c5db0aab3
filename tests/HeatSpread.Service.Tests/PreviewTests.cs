using System.Net;
using System.Text;
using System.Text.Json;

namespace HeatSpread.Service.Tests;

public sealed class PreviewTests(SharedService service)
{
    private const string Pads = "%ADD20R,2X1*%D20*%TO.P,U1,1*%%TO.N,VIN*%X5.0Y5.0D03*%TO.P,U1,2*%%TO.N,GND*%X9.0Y5.0D03*%TD*%%TO.P,U2,1*%%TO.N,GND*%X15.0Y15.0D03*";

    private readonly HttpClient _client = service.Client;

    private static byte[] Gerber(string body) => Encoding.UTF8.GetBytes("%FSLAX46Y46*%\n%MOMM*%\n" + body + "\nM02*\n");

    private static MultipartFormDataContent Form(string name) => ImportTests.Form($$"""{ "name": "{{name}}", "parts": [{ "id": "U1", "watts": 1.4 }] }""",
        ("copper.gbr", Gerber("%TF.FileFunction,Copper,L1,Top*%" + Pads)),
        ("edge.gbr", Gerber("%TF.FileFunction,Profile,NP*%%ADD10C,0.1*%D10*X0.0Y0.0D02*X20.0D01*Y20.0D01*X0.0D01*Y0.0D01*")));

    [Fact]
    public async Task A_preview_shows_the_recognised_board_and_stores_nothing()
    {
        using var form = Form("previewed");
        using var response = await _client.PostAsync("/v1/layouts?preview=true", form, TestContext.Current.CancellationToken);
        Assert.Equal(HttpStatusCode.OK, response.StatusCode);
        var preview = await response.Body();
        Assert.Equal("L1 copper.gbr 35 6", string.Join(' ', preview.GetProperty("layers").EnumerateArray().Select(l => FormattableString.Invariant($"{l.GetProperty("name").GetString()} {l.GetProperty("file").GetString()} {l.GetProperty("thicknessUm").GetDouble():0.###} {l.GetProperty("copperMm2").GetDouble():0.####}"))));
        Assert.Equal(["VIN", "GND"], preview.GetProperty("nets").EnumerateArray().Select(n => n.GetString()));
        Assert.Equal([("U1", true), ("U2", false)], preview.GetProperty("parts").EnumerateArray().Select(p => (p.GetProperty("id").GetString()!, p.GetProperty("inLayout").GetBoolean())));
        Assert.NotEqual(0, preview.GetProperty("warnings").GetArrayLength());
        string id = preview.GetProperty("id").GetString()!;
        using var missing = await _client.Get($"/v1/layouts/{id}");
        Assert.Equal(HttpStatusCode.NotFound, missing.StatusCode);

        // The document of the preview, posted, is the layout that the files give.
        Assert.Equal(id, await _client.Take(preview.GetProperty("layout").GetRawText()));
    }

    [Fact]
    public async Task An_unknown_query_key_is_400()
    {
        using var form = Form("query");
        using var response = await _client.PostAsync("/v1/layouts?prevew=true", form, TestContext.Current.CancellationToken);
        Assert.Equal(HttpStatusCode.BadRequest, response.StatusCode);
    }

    [Theory]
    [InlineData("moteus-c1")]
    [InlineData("dm0002")]
    [InlineData("alhambra-ii")]
    public async Task A_real_board_read_back_and_posted_again_has_the_same_copper(string name)
    {
        string? board = Repository.SharedBoard(name);
        if (board is null) Assert.Skip("The real boards lie beside the repository on some machines only; this one has none.");
        using var form = ImportTests.Form("""{ "name": "back" }""", [.. Directory.GetFiles(board).Select(f => (Path.GetFileName(f), File.ReadAllBytes(f)))]);
        using var posted = await _client.PostAsync("/v1/layouts", form, TestContext.Current.CancellationToken);
        var receipt = await posted.Body();
        Assert.True(posted.IsSuccessStatusCode, receipt.ToString());
        using var back = await _client.Get($"/v1/layouts/{receipt.GetProperty("id").GetString()}");
        string json = await back.Content.ReadAsStringAsync(TestContext.Current.CancellationToken);
        using var preview = await _client.PostJson("/v1/layouts?preview=true", json);
        var again = await preview.Body();
        double[] before = Areas(receipt), after = Areas(again);
        Assert.Equal(before.Length, after.Length);
        for (int i = 0; i < before.Length; i++) Assert.InRange(after[i] / before[i], 1 - 1e-6, 1 + 1e-6);
    }

    private static double[] Areas(JsonElement answer) => [.. answer.GetProperty("summary").GetProperty("layers").EnumerateArray().Select(l => l.GetProperty("copperMm2").GetDouble())];
}
