using System.Net;

namespace HeatSpread.Service.Tests;

public sealed class LayoutTests(SharedService service)
{
    private readonly HttpClient _client = service.Client;

    [Fact]
    public async Task A_new_layout_is_201_with_its_place_and_summary()
    {
        using var response = await _client.PostJson("/v1/layouts", Boards.Plate("new"));
        Assert.Equal(HttpStatusCode.Created, response.StatusCode);
        var receipt = await response.Body();
        Assert.Equal($"/v1/layouts/{receipt.GetProperty("id").GetString()}", response.Headers.Location?.ToString());
        Assert.Equal(0, receipt.GetProperty("warnings").GetArrayLength());

        var summary = receipt.GetProperty("summary");
        Assert.Equal(1200, summary.GetProperty("outlineMm2").GetDouble(), 9);
        var layers = summary.GetProperty("layers").EnumerateArray().ToArray();
        Assert.Equal(["L1", "L2"], layers.Select(l => l.GetProperty("name").GetString()));
        Assert.Equal(20 * 28 + 17 * 28, layers[0].GetProperty("copperMm2").GetDouble(), 4); // pads lie within the pours
        Assert.Equal(38 * 28, layers[1].GetProperty("copperMm2").GetDouble(), 4);
        var holes = summary.GetProperty("holes").EnumerateArray().Select(h => (h.GetProperty("drillMm").GetDouble(), h.GetProperty("count").GetInt32(), h.GetProperty("plated").GetBoolean()));
        Assert.Equal([(0.3, 12, true), (0.5, 1, true)], holes);
        Assert.Equal(2, summary.GetProperty("nets").GetInt32());
        Assert.Equal(2, summary.GetProperty("parts").GetInt32());
    }

    [Fact]
    public async Task The_same_layout_again_is_200_and_the_same_id_however_it_is_spaced()
    {
        string id = await _client.Take(Boards.Plate("twice"));
        using var again = await _client.PostJson("/v1/layouts", Boards.Plate("twice").Replace("  ", " ", StringComparison.Ordinal));
        Assert.Equal(HttpStatusCode.OK, again.StatusCode);
        Assert.Equal(id, (await again.Body()).GetProperty("id").GetString());
        Assert.NotEqual(id, await _client.Take(Boards.Plate("twice", watts: 1.3)));
    }

    [Fact]
    public async Task A_layout_read_back_and_posted_again_is_the_same()
    {
        string id = await _client.Take(Boards.Plate("back"));
        using var back = await _client.Get($"/v1/layouts/{id}");
        Assert.Equal("application/json", back.Content.Headers.ContentType?.MediaType);
        Assert.Equal(id, await _client.Take(await back.Content.ReadAsStringAsync(TestContext.Current.CancellationToken)));
    }

    [Fact]
    public async Task The_list_finds_by_name()
    {
        string id = await _client.Take(Boards.Plate("to be found"));
        var all = await _client.Get("/v1/layouts").Success();
        Assert.Contains(id, all.GetProperty("layouts").EnumerateArray().Select(l => l.GetProperty("id").GetString()));
        var found = await _client.Get("/v1/layouts?name=to%20be%20found").Success();
        Assert.Equal([id], found.GetProperty("layouts").EnumerateArray().Select(l => l.GetProperty("id").GetString()));
    }

    [Fact]
    public async Task A_removed_layout_is_gone_and_its_solutions_stay()
    {
        string id = await _client.Take(Boards.Plate("removed"));
        var solution = await _client.Solve($"\"{id}\"");
        using (var removed = await _client.Delete($"/v1/layouts/{id}")) Assert.Equal(HttpStatusCode.NoContent, removed.StatusCode);
        using (var gone = await _client.Get($"/v1/layouts/{id}")) Assert.Equal(HttpStatusCode.NotFound, gone.StatusCode);
        using (var again = await _client.Delete($"/v1/layouts/{id}")) Assert.Equal(HttpStatusCode.NotFound, again.StatusCode);
        using var map = await _client.Get(solution.GetProperty("layers")[0].GetProperty("image").GetString()!);
        Assert.Equal(HttpStatusCode.OK, map.StatusCode);
    }

    [Fact]
    public async Task The_copper_of_a_layer_is_a_picture_of_the_asked_width()
    {
        string id = await _client.Take(Boards.Plate("copper"));
        using var response = await _client.Get($"/v1/layouts/{id}/layers/L2.png?width=321");
        using var picture = SkiaSharp.SKBitmap.Decode(await response.Bytes());
        Assert.Equal("image/png", response.Content.Headers.ContentType?.MediaType);
        Assert.Equal(321, picture.Width);
    }

    [Fact]
    public async Task Ten_faults_come_back_in_one_answer_each_with_its_place()
    {
        using var response = await _client.PostJson("/v1/layouts", TenFaults);
        Assert.Equal(HttpStatusCode.UnprocessableEntity, response.StatusCode);
        var problem = await response.Body();
        Assert.Equal("urn:heatspread:problem:invalid-layout", problem.GetProperty("type").GetString());
        var pointers = problem.GetProperty("errors").EnumerateArray().Select(e => e.GetProperty("pointer").GetString()!).ToHashSet();
        Assert.Superset(new HashSet<string>(TenPlaces), pointers);
        Assert.All(problem.GetProperty("errors").EnumerateArray(), e => Assert.Matches(@"[.?]$", e.GetProperty("detail").GetString()!));
    }

    private static readonly string[] TenPlaces =
    [
        "/colour", "/stack/0/thicknessUm", "/stack/2/material", "/copper/0/layer", "/copper/0/net", "/vias/0/drill", "/vias/0/to", "/parts/0/watts",
        "/parts/0/terminals/0/net", "/probes/0/layer",
    ];

    private const string TenFaults = """
        {
          "name": "faulty", "revision": "A", "unit": "mm", "colour": "green",
          "outline": { "type": "Polygon", "coordinates": [[[0, 0], [40, 0], [40, 30], [0, 30], [0, 0]]] },
          "stack": [
            { "kind": "copper", "name": "L1", "thicknessUm": -35 },
            { "kind": "dielectric", "thicknessUm": 1500, "material": "fr4" },
            { "kind": "dielectric", "thicknessUm": 100, "material": "cheese" },
            { "kind": "copper", "name": "L2", "thicknessUm": 35 }
          ],
          "nets": [{ "name": "GND" }],
          "copper": [{ "layer": "L7", "net": "VCC", "area": { "type": "Polygon", "coordinates": [[[1, 1], [9, 1], [9, 9], [1, 1]]] } }],
          "vias": [{ "net": "GND", "drill": 0, "to": "L9", "at": [[5, 5]] }],
          "parts": [{ "id": "U1", "kind": "ic", "side": "top", "watts": -1,
            "terminals": [{ "name": "1", "net": "OUT", "pad": { "type": "Polygon", "coordinates": [[[5, 5], [8, 5], [8, 7], [5, 5]]] } }] }],
          "probes": [{ "name": "TP1", "layer": "L8", "at": [20, 15] }]
        }
        """;
}
