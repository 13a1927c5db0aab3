using System.IO.Compression;
using System.Net;
using System.Net.Http.Headers;
using System.Text;
using System.Text.Json;

namespace HeatSpread.Service.Tests;

public sealed class ImportTests(SharedService service)
{
    private const string Description = """
        { "name": "charger", "revision": "1", "unit": "mm",
          "stack": [{ "kind": "copper", "name": "L1", "thicknessUm": 35 }, { "kind": "dielectric", "thicknessUm": 1500, "material": "fr4" }, { "kind": "copper", "name": "L2", "thicknessUm": 35 }] }
        """;

    private readonly HttpClient _client = service.Client;

    [Fact]
    public async Task A_real_board_comes_in_by_files_or_as_one_zip()
    {
        string? board = Repository.SharedBoard("mppt-2420-lc");
        if (board is null) Assert.Skip("The real boards lie beside the repository on some machines only; this one has none.");
        var files = Directory.GetFiles(board).Where(f => Path.GetExtension(f) is ".gbr" or ".drl").Select(f => (Name: Path.GetFileName(f), Content: File.ReadAllBytes(f))).ToArray();

        using var form = Form(Description, files);
        using var response = await _client.PostAsync("/v1/layouts", form, TestContext.Current.CancellationToken);
        string text = await response.Content.ReadAsStringAsync(TestContext.Current.CancellationToken);
        Assert.True(response.StatusCode == HttpStatusCode.Created, text);
        var receipt = JsonElement.Parse(text);
        double[] copper = [.. receipt.GetProperty("summary").GetProperty("layers").EnumerateArray().Select(l => l.GetProperty("copperMm2").GetDouble())];
        double[] expected = Expected("mppt-2420-lc");
        for (int i = 0; i < expected.Length; i++) Assert.InRange(copper[i] / expected[i], 0.99, 1.01); // by two or three independent methods, see the README beside the boards
        Assert.Equal(469, receipt.GetProperty("summary").GetProperty("holes").EnumerateArray().Where(h => h.GetProperty("plated").GetBoolean()).Sum(h => h.GetProperty("count").GetInt32()));

        using var zipped = Form(Description, ("board.zip", Zip(files)));
        using var again = await _client.PostAsync("/v1/layouts", zipped, TestContext.Current.CancellationToken);
        Assert.Equal(HttpStatusCode.OK, again.StatusCode);
        Assert.Equal(receipt.GetProperty("id").GetString(), (await again.Body()).GetProperty("id").GetString());
    }

    [Fact]
    public async Task A_form_without_files_or_with_strange_parts_is_400()
    {
        using var form = Form(Description);
        form.Add(new StringContent("x"), "colour");
        using var response = await _client.PostAsync("/v1/layouts", form, TestContext.Current.CancellationToken);
        Assert.Equal(HttpStatusCode.BadRequest, response.StatusCode);
        Approved.Json("problems/form.json", await response.Body());
    }

    [Fact]
    public async Task A_form_that_is_cut_off_is_400()
    {
        using var body = new StringContent("--edge\r\nContent-Disposition: form-data; name=\"description\"\r\n\r\n{}");
        body.Headers.ContentType = MediaTypeHeaderValue.Parse("multipart/form-data; boundary=edge");
        using var response = await _client.PostAsync("/v1/layouts", body, TestContext.Current.CancellationToken);
        Assert.Equal(HttpStatusCode.BadRequest, response.StatusCode);
        Assert.Equal("urn:heatspread:problem:malformed-form", (await response.Body()).GetProperty("type").GetString());
    }

    [Fact]
    public async Task A_form_without_a_boundary_is_400()
    {
        using var body = new StringContent("x");
        body.Headers.ContentType = MediaTypeHeaderValue.Parse("multipart/form-data");
        using var response = await _client.PostAsync("/v1/layouts", body, TestContext.Current.CancellationToken);
        Assert.Equal(HttpStatusCode.BadRequest, response.StatusCode);
    }

    [Theory]
    [InlineData("{ \"stack\": ", HttpStatusCode.BadRequest)]
    [InlineData("{ \"colour\": 1, \"stack\": [{ \"kind\": \"foil\", \"thicknessUm\": 35 }] }", HttpStatusCode.UnprocessableEntity)]
    public async Task A_faulty_description_is_refused(string description, HttpStatusCode status)
    {
        using var form = Form(description, ("top.gbr", "M02*\n"u8.ToArray()));
        using var response = await _client.PostAsync("/v1/layouts", form, TestContext.Current.CancellationToken);
        Assert.Equal(status, response.StatusCode);
    }

    [Fact]
    public async Task More_files_than_allowed_are_413_and_the_limit_is_named()
    {
        using var folder = new TemporaryFolder();
        await using var small = new ServiceUnderTest(folder.Path, ("MaximumFiles", "1"));
        using var client = small.CreateClient();
        using var form = Form(Description, ("a.gbr", []), ("b.gbr", []));
        using var response = await client.PostAsync("/v1/layouts", form, TestContext.Current.CancellationToken);
        Assert.Equal(HttpStatusCode.RequestEntityTooLarge, response.StatusCode);
        Assert.Contains("HeatSpread:MaximumFiles", (await response.Body()).GetProperty("detail").GetString(), StringComparison.Ordinal);
    }

    internal static MultipartFormDataContent Form(string description, params (string Name, byte[] Content)[] files)
    {
        var form = new MultipartFormDataContent { { new StringContent(description, Encoding.UTF8, "application/json"), "description" } };
        foreach (var (name, content) in files)
        {
            form.Add(new ByteArrayContent(content) { Headers = { ContentType = new MediaTypeHeaderValue("application/octet-stream") } }, "files", name);
        }
        return form;
    }

    private static double[] Expected(string name)
    {
        var boards = JsonElement.Parse(File.ReadAllBytes(Repository.SharedBoard("expected.json")!)).GetProperty("boards");
        return [.. boards.EnumerateArray().First(b => b.GetProperty("name").GetString() == name).GetProperty("copper").EnumerateArray().Select(c => c.GetProperty("copper_mm2").GetDouble())];
    }

    private static byte[] Zip((string Name, byte[] Content)[] files)
    {
        using var stream = new MemoryStream();
        using (var archive = new ZipArchive(stream, ZipArchiveMode.Create))
        {
            foreach (var (name, content) in files)
            {
                using var entry = archive.CreateEntry(name).Open();
                entry.Write(content);
            }
        }
        return stream.ToArray();
    }
}
