using System.Net;
using System.Text.Json;

namespace HeatSpread.Service.Tests;

public sealed class ComparisonTests(SharedService shared)
{
    private readonly HttpClient _client = shared.Client;

    [Fact]
    public async Task A_comparison_tells_the_parts_and_a_ledger_that_adds_up()
    {
        string baseline = await Solved(Boards.Plate("comparison", watts: 1.2)), candidate = await Solved(Cut("comparison"));
        using var response = await _client.PostJson("/v1/comparisons", $$"""{ "baseline": "{{baseline}}", "candidates": ["{{candidate}}"] }""");
        Assert.Equal(HttpStatusCode.OK, response.StatusCode);
        var comparison = await response.Body();
        string id = comparison.GetProperty("id").GetString()!;
        Assert.Equal($"/v1/comparisons/{id}", response.Headers.Location!.ToString());
        Assert.Equal(baseline, comparison.GetProperty("baseline").GetString());
        var told = comparison.GetProperty("candidates")[0];
        Assert.Equal(candidate, told.GetProperty("solution").GetString());
        Assert.True(told.GetProperty("peakDeltaKelvin").GetDouble() > 0);
        Assert.Empty(told.GetProperty("solvedAgain").EnumerateArray());
        foreach (var ledger in told.GetProperty("ledger").EnumerateArray())
        {
            var part = told.GetProperty("parts").EnumerateArray().Single(p => p.GetProperty("id").GetString() == ledger.GetProperty("part").GetString());
            Assert.Equal(part.GetProperty("deltaKelvin").GetDouble(), ledger.GetProperty("deltaKelvin").GetDouble());
            Assert.Equal(part.GetProperty("celsius").GetDouble() - part.GetProperty("baselineCelsius").GetDouble(), part.GetProperty("deltaKelvin").GetDouble(), 1e-9);
            Assert.Equal(ledger.GetProperty("deltaKelvin").GetDouble(), ledger.GetProperty("entries").EnumerateArray().Sum(e => e.GetProperty("kelvin").GetDouble()), 1e-4);
        }
        var first = told.GetProperty("ledger").EnumerateArray().Single(l => l.GetProperty("part").GetString() == "U1").GetProperty("entries")[0];
        Assert.Equal(("copperRemoved", "L1", "GND"), (first.GetProperty("kind").GetString(), first.GetProperty("layer").GetString(), first.GetProperty("net").GetString()));
        var area = first.GetProperty("area");
        Assert.Equal("MultiPolygon", area.GetProperty("type").GetString());
        Assert.Equal(28.0, Area(area), 1.5); // 1 mm wide, over 28 mm of pour
        Assert.NotEmpty(first.GetProperty("text").GetString()!);
        var again = await _client.PostJson("/v1/comparisons", $$"""{ "baseline": "{{baseline}}", "candidates": ["{{candidate}}"] }""").Success();
        Assert.Equal(comparison.GetRawText(), again.GetRawText());
        Assert.Equal(comparison.GetRawText(), (await _client.Get($"/v1/comparisons/{id}").Success()).GetRawText());
        Assert.Contains((await _client.Get("/v1/comparisons").Success()).GetProperty("comparisons").EnumerateArray(), c => c.GetProperty("id").GetString() == id);
    }

    /// <summary>The two fields are sent too, so the map can be checked against them.</summary>
    [Fact]
    public async Task Difference_maps_are_candidate_less_baseline_on_one_scale()
    {
        string baseline = await Solved(Boards.Plate("maps", watts: 1.2)), candidate = await Solved(Cut("maps"));
        var comparison = await _client.PostJson("/v1/comparisons", $$"""{ "baseline": "{{baseline}}", "candidates": ["{{candidate}}"], "parts": ["L5"] }""").Success();
        var told = comparison.GetProperty("candidates")[0];
        Assert.Equal("L5", Assert.Single(told.GetProperty("ledger").EnumerateArray().ToArray()).GetProperty("part").GetString());
        double scale = comparison.GetProperty("scaleKelvin").GetDouble();
        foreach (var layer in told.GetProperty("layers").EnumerateArray())
        {
            string image = layer.GetProperty("image").GetString()!, name = layer.GetProperty("name").GetString()!;
            using var picture = await _client.Get(image);
            Assert.Equal("image/png", picture.Content.Headers.ContentType?.MediaType);
            Assert.NotNull(picture.Headers.ETag);
            float[] difference = Floats(await (await _client.Get(image.Replace(".png", ".npy", StringComparison.Ordinal))).Bytes());
            float[] before = Floats(await (await _client.Get($"/v1/solutions/{baseline}/layers/{name}.npy")).Bytes()), after = Floats(await (await _client.Get($"/v1/solutions/{candidate}/layers/{name}.npy")).Bytes());
            for (int cell = 0; cell < before.Length; cell++) Assert.Equal(after[cell] - before[cell], difference[cell], 1e-3f);
            Assert.True(Math.Max(difference.Max(), -difference.Min()) <= scale);
            Assert.Equal(difference.Max(), layer.GetProperty("maxDeltaKelvin").GetDouble(), 1e-6);
        }
    }

    [Fact]
    public async Task Boards_on_other_grids_are_solved_again_on_the_finer_one()
    {
        string baseline = await Solved(Boards.Plate("grids", watts: 1.2)), candidate = await Solved(Boards.Plate("grids", watts: 2.4), """{ "pitchMm": 0.4 }""");
        var comparison = await _client.PostJson("/v1/comparisons", $$"""{ "baseline": "{{baseline}}", "candidates": ["{{candidate}}"] }""").Success();
        var told = comparison.GetProperty("candidates")[0];
        Assert.Equal([baseline], told.GetProperty("solvedAgain").EnumerateArray().Select(s => s.GetString()!));
        Assert.Equal(100, told.GetProperty("grid").GetProperty("columns").GetInt32());
        var ledger = told.GetProperty("ledger")[0];
        Assert.Equal("wattsChanged", ledger.GetProperty("entries")[0].GetProperty("kind").GetString());
        Assert.Equal(ledger.GetProperty("deltaKelvin").GetDouble(), ledger.GetProperty("entries").EnumerateArray().Sum(e => e.GetProperty("kelvin").GetDouble()), 1e-4);
    }

    [Fact]
    public async Task A_comparison_outlives_its_solutions_and_the_process()
    {
        using var folder = new TemporaryFolder();
        string id, image;
        byte[] picture;
        using (var service = new ServiceUnderTest(folder.Path))
        {
            using var client = service.CreateClient();
            string baseline = (await client.Solve(Boards.Plate("kept"))).GetProperty("id").GetString()!, candidate = (await client.Solve(Cut("kept"))).GetProperty("id").GetString()!;
            var comparison = await client.PostJson("/v1/comparisons", $$"""{ "baseline": "{{baseline}}", "candidates": ["{{candidate}}"] }""").Success();
            id = comparison.GetProperty("id").GetString()!;
            image = comparison.GetProperty("candidates")[0].GetProperty("layers")[0].GetProperty("image").GetString()!;
            picture = await (await client.Get(image)).Bytes();
            foreach (string solution in new[] { baseline, candidate }) Assert.Equal(HttpStatusCode.NoContent, (await client.Delete($"/v1/solutions/{solution}")).StatusCode);
        }
        using var restarted = new ServiceUnderTest(folder.Path);
        using var later = restarted.CreateClient();
        Assert.Equal(id, (await later.Get($"/v1/comparisons/{id}").Success()).GetProperty("id").GetString());
        Assert.Equal(picture, await (await later.Get(image)).Bytes());
        Assert.Equal(HttpStatusCode.NoContent, (await later.Delete($"/v1/comparisons/{id}")).StatusCode);
        Assert.Equal(HttpStatusCode.NotFound, (await later.Get($"/v1/comparisons/{id}")).StatusCode);
        Assert.Equal(HttpStatusCode.NotFound, (await later.Get(image)).StatusCode);
    }

    [Theory]
    [InlineData("""{ "baseline": "nothing", "candidates": [3, "no"] }""", "/baseline", "/candidates/0", "/candidates/1")]
    [InlineData("""{ "candidates": [], "candidate": 1 }""", "/candidate", "", "/candidates")]
    [InlineData("[]", "")]
    public async Task Every_fault_of_a_request_is_told(string json, params string[] pointers)
    {
        using var response = await _client.PostJson("/v1/comparisons", json);
        Assert.Equal(HttpStatusCode.UnprocessableEntity, response.StatusCode);
        var problem = await response.Body();
        Assert.Equal("urn:heatspread:problem:invalid-comparison-request", problem.GetProperty("type").GetString());
        Assert.Equal(pointers.Order(), problem.GetProperty("errors").EnumerateArray().Select(e => e.GetProperty("pointer").GetString()!).Order());
    }

    [Fact]
    public async Task Parts_of_one_board_alone_are_told_and_cannot_be_explained()
    {
        string baseline = await Solved(Boards.Plate("alone")), candidate = await Solved(Boards.Plate("alone").Replace("\"L5\"", "\"L6\"", StringComparison.Ordinal));
        var comparison = await _client.PostJson("/v1/comparisons", $$"""{ "baseline": "{{baseline}}", "candidates": ["{{candidate}}"] }""").Success();
        var parts = comparison.GetProperty("candidates")[0].GetProperty("parts").EnumerateArray().ToDictionary(p => p.GetProperty("id").GetString()!, p => p.GetProperty("presentIn").GetString());
        Assert.Equal(("both", "baseline", "candidate"), (parts["U1"], parts["L5"], parts["L6"]));
        using var refused = await _client.PostJson("/v1/comparisons", $$"""{ "baseline": "{{baseline}}", "candidates": ["{{candidate}}"], "parts": ["L6"] }""");
        Assert.Equal("/parts/0", (await refused.Body()).GetProperty("errors")[0].GetProperty("pointer").GetString());
    }

    /// <summary>The plate with a trace of OUT through the ground pour of L1.</summary>
    private static string Cut(string name) => Boards.Plate(name).Replace(
        """{ "layer": "L2", "net": "GND", "area":""",
        """{ "layer": "L1", "net": "OUT", "track": { "path": [[12, 0.5], [12, 29.5]], "width": 0.2 }, "clearance": 0.4 }, { "layer": "L2", "net": "GND", "area":""",
        StringComparison.Ordinal);

    private async Task<string> Solved(string layout, string grid = """{ "pitchMm": 0.5 }""") => (await _client.Solve(layout, grid: grid)).GetProperty("id").GetString()!;

    private static double Area(JsonElement area) => area.GetProperty("coordinates").EnumerateArray().Sum(polygon => polygon.EnumerateArray().Index().Sum(ring => (ring.Index == 0 ? 1 : -1) * Math.Abs(Shoelace(ring.Item))));

    private static double Shoelace(JsonElement ring)
    {
        double[][] points = [.. ring.EnumerateArray().Select(p => new[] { p[0].GetDouble(), p[1].GetDouble() })];
        Assert.Equal(points[0], points[^1]);
        return Enumerable.Range(0, points.Length - 1).Sum(i => points[i][0] * points[i + 1][1] - points[i + 1][0] * points[i][1]) / 2;
    }

    private static float[] Floats(byte[] npy)
    {
        int header = 10 + BitConverter.ToUInt16(npy, 8);
        return [.. Enumerable.Range(0, (npy.Length - header) / sizeof(float)).Select(i => BitConverter.ToSingle(npy, header + i * sizeof(float)))];
    }
}
