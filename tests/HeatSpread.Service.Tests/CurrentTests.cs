using System.Net;
using System.Text.Json;

namespace HeatSpread.Service.Tests;

public sealed class CurrentTests(SharedService service)
{
    private const string Load = """{ "name": "load", "net": "OUT", "amps": 3, "from": ["L5:1"], "to": ["J2:+"] }""";

    private readonly HttpClient _client = service.Client;

    /// <summary>The plate with a connector on the output pour, and one on ground.</summary>
    private static string Plate(string name) => Boards.Plate(name).Replace("\"parts\": [", """
        "parts": [
          { "id": "J2", "kind": "connector", "side": "top", "terminals": [
            { "name": "+", "net": "OUT", "pad": { "type": "Polygon", "coordinates": [[[36, 2], [38, 2], [38, 5], [36, 5], [36, 2]]] } },
            { "name": "-", "net": "GND", "pad": { "type": "Polygon", "coordinates": [[[10, 20], [12, 20], [12, 22], [10, 22], [10, 20]]] } }] },
        """, StringComparison.Ordinal);

    private static string With(params string[] currents) => Boards.Conditions.TrimEnd()[..^1] + $", \"currents\": [{string.Join(", ", currents)}] }}";

    [Fact]
    public async Task A_current_is_answered_and_its_loss_is_in_the_heat()
    {
        var solution = await _client.Solve(Plate("current"), With(Load, """{ "net": "GND", "amps": 2, "from": ["J2:-"], "to": ["U1:1"] }"""));
        var currents = solution.GetProperty("currents");
        Assert.Equal(["load", "GND"], currents.EnumerateArray().Select(c => c.GetProperty("name").GetString()));
        var load = currents[0];
        Assert.Equal(("OUT", 3, "L1"), (load.GetProperty("net").GetString(), load.GetProperty("amps").GetDouble(), load.GetProperty("layer").GetString()));
        double watts = load.GetProperty("copperWatts").GetDouble();
        Assert.Equal(3e-3 * load.GetProperty("dropMillivolts").GetDouble(), watts, 1e-6 * watts);
        Assert.InRange(load.GetProperty("dropMillivolts").GetDouble(), 1, 10);
        Assert.InRange(load.GetProperty("peakAmpsPerMm2").GetDouble(), 5, 100);
        Assert.Equal(2, load.GetProperty("at").GetArrayLength());
        var heat = solution.GetProperty("heat");
        Assert.Equal(1.6 + currents.EnumerateArray().Sum(c => c.GetProperty("copperWatts").GetDouble()), heat.GetProperty("dissipatedWatts").GetDouble(), 1e-6);
        Assert.InRange(Math.Abs(heat.GetProperty("imbalanceWatts").GetDouble()), 0, 1.6e-6);
        Assert.Equal(0, (await _client.Solve(Plate("no current"))).GetProperty("currents").GetArrayLength());
    }

    [Fact]
    public async Task The_map_and_the_array_show_it()
    {
        var solution = await _client.Solve(Plate("current map"), With(Load));
        string picture = solution.GetProperty("layers")[0].GetProperty("currentImage").GetString()!;
        using (var response = await _client.Get(picture + "?width=500&max=40"))
        {
            Assert.Equal("image/png", response.Content.Headers.ContentType?.MediaType);
            using var bitmap = SkiaSharp.SKBitmap.Decode(await response.Bytes());
            Assert.Equal(500, bitmap.Width);
        }
        using var array = await _client.Get(picture.Replace(".png", ".npy", StringComparison.Ordinal));
        var (rows, columns, values) = FieldTests.ReadNpy(await array.Bytes());
        Assert.Equal((60, 80), (rows, columns));
        Assert.Equal((float)solution.GetProperty("currents")[0].GetProperty("peakAmpsPerMm2").GetDouble(), values.Max(), 1e-4f);
        Assert.Equal(0, values[30 * columns + 20]); // on the ground pour
        using (var flow = await _client.Get(picture + "?flow=true")) Assert.Equal(HttpStatusCode.BadRequest, flow.StatusCode);
        var without = await _client.Solve(Plate("no current map"));
        Assert.Equal(JsonValueKind.Null, without.GetProperty("layers")[0].GetProperty("currentImage").ValueKind);
        using var missing = await _client.Get($"/v1/solutions/{without.GetProperty("id").GetString()}/layers/L1/current.png");
        Assert.Equal(HttpStatusCode.NotFound, missing.StatusCode);
    }

    [Fact]
    public async Task Terminals_that_the_copper_does_not_join_are_named_with_their_gap()
    {
        string cut = Plate("open").Replace("[[[22, 1], [39, 1], [39, 29], [22, 29], [22, 1]]] } },", "[[[22, 1], [39, 1], [39, 29], [22, 29], [22, 1]]] } }, { \"layer\": \"L1\", \"clear\": true, \"track\": { \"path\": [[22, 8], [39, 8]], \"width\": 0.3 } },", StringComparison.Ordinal);
        using var response = await _client.PostJson("/v1/solutions", Boards.Request(cut, With(Load)));
        Assert.Equal(HttpStatusCode.UnprocessableEntity, response.StatusCode);
        var body = await response.Body();
        Assert.Equal("urn:heatspread:problem:invalid-solution-request", body.GetProperty("type").GetString());
        Assert.Equal(["/conditions/currents/0/from/0"], body.GetProperty("errors").EnumerateArray().Select(e => e.GetProperty("pointer").GetString()));
        string detail = body.GetProperty("errors")[0].GetProperty("detail").GetString()!;
        Assert.Contains("L5:1 is not joined to J2:+", detail, StringComparison.Ordinal);
        Assert.Matches(@"a gap of 0\.(29|3)\d* mm", detail);
    }

    [Fact]
    public async Task A_current_that_melts_its_copper_is_a_runaway_and_no_number()
    {
        using var response = await _client.PostJson("/v1/solutions", Boards.Request(Plate("melting"), With(Load.Replace("\"amps\": 3", "\"amps\": 300", StringComparison.Ordinal))));
        Assert.Equal(HttpStatusCode.UnprocessableEntity, response.StatusCode);
        Assert.Equal("urn:heatspread:problem:thermal-runaway", (await response.Body()).GetProperty("type").GetString());
    }
}
