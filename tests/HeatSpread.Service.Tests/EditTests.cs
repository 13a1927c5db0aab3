using System.Net;
using System.Text.Json;

namespace HeatSpread.Service.Tests;

/// <summary>Findings, suggested edits, and a script that makes one of them and asks again.</summary>
public class EditTests(SharedService service)
{
    /// <summary>A hot part on one side of a ground pour that a track cuts.</summary>
    internal const string CutPour = """
        {
          "name": "cut pour", "revision": "A", "unit": "mm",
          "outline": { "type": "Polygon", "coordinates": [[[0, 0], [40, 0], [40, 24], [0, 24], [0, 0]]] },
          "stack": [
            { "kind": "copper", "name": "L1", "thicknessUm": 35 },
            { "kind": "dielectric", "thicknessUm": 1500, "material": "fr4" }
          ],
          "nets": [{ "name": "GND" }, { "name": "FB" }],
          "copper": [
            { "layer": "L1", "net": "GND", "area": { "type": "Polygon", "coordinates": [[[0.5, 0.5], [39.5, 0.5], [39.5, 23.5], [0.5, 23.5], [0.5, 0.5]]] } },
            { "layer": "L1", "net": "FB", "track": { "path": [[14, 0], [14, 24]], "width": 0.2 }, "clearance": 0.2 }
          ],
          "parts": [
            { "id": "U1", "kind": "ic", "side": "top", "watts": 1,
              "terminals": [{ "name": "1", "net": "GND", "pad": { "type": "Polygon", "coordinates": [[[5, 10], [9, 10], [9, 14], [5, 14], [5, 10]]] } }] }
          ]
        }
        """;

    [Fact]
    public async Task ASuggestedEditGainsWhatIsSaid()
    {
        string layout = await service.Client.Take(CutPour);
        var before = await Ask(layout, """{ "edits": 3 }""");
        var cut = before.GetProperty("findings").EnumerateArray().Single(finding => finding.GetProperty("kind").GetString() == "planeCut");
        Assert.Equal(("L1", "GND", "FB", "U1", true), (Text(cut, "layer"), Text(cut, "net"), Text(cut, "cutBy"), Text(cut, "part"), cut.GetProperty("checked").GetBoolean()));
        Assert.All(cut.GetProperty("path").EnumerateArray(), place => Assert.InRange(place[0].GetDouble(), 13.5, 14.5));

        var edit = before.GetProperty("edits")[0];
        Assert.Equal("closeGap", Text(edit, "kind"));
        Assert.Equal(["FB"], edit.GetProperty("reroute").EnumerateArray().Select(net => net.GetString()));
        Assert.Equal(edit.GetProperty("gainKelvin").GetDouble() / edit.GetProperty("copperMm2").GetDouble(), edit.GetProperty("kelvinPerMm2").GetDouble(), 1e-9);

        using var made = await service.Client.PostJson($"/v1/layouts/{layout}/edits", $$"""{ "edits": [{{edit.GetRawText()}}], "revision": "B" }""");
        Assert.Equal(HttpStatusCode.Created, made.StatusCode);
        string edited = (await made.Body()).GetProperty("id").GetString()!;
        Assert.Equal($"/v1/layouts/{edited}", made.Headers.Location!.ToString());
        var after = await Ask(edited, """{ "edits": 3 }""");
        Assert.Equal("B", Text(after, "revision"));
        Assert.Equal(edit.GetProperty("gainKelvin").GetDouble(), Celsius(before) - Celsius(after), 0.05);
        Assert.DoesNotContain(after.GetProperty("findings").EnumerateArray(), finding => Text(finding, "kind") == "planeCut");

        using var again = await service.Client.PostJson($"/v1/layouts/{layout}/edits", $$"""{ "edits": [{{edit.GetRawText()}}], "revision": "B" }""");
        Assert.Equal(HttpStatusCode.OK, again.StatusCode);
    }

    /// <summary>A script: ask, make the best edit, ask again, until nothing more is suggested. Each step gains what it was said to, and it comes to an end.</summary>
    [Fact]
    public async Task AScriptMakesTheBestEditUntilNoneIsLeft()
    {
        const string cut = """{ "layer": "L1", "net": "FB", "track": { "path": [[14, 0], [14, 24]], "width": 0.2 }, "clearance": 0.2 }""";
        string twice = CutPour.Replace(cut, $"{cut}, {cut.Replace("14", "22", StringComparison.Ordinal)}", StringComparison.Ordinal);
        Assert.NotEqual(CutPour, twice);
        string layout = await service.Client.Take(twice);
        var solution = await Ask(layout, """{ "edits": 2 }""");
        var gains = new List<double>();
        while (solution.GetProperty("edits").GetArrayLength() > 0)
        {
            Assert.True(gains.Count < 5, "it does not end");
            var edit = solution.GetProperty("edits")[0];
            layout = (await service.Client.PostJson($"/v1/layouts/{layout}/edits", $$"""{ "edits": [{{edit.GetRawText()}}] }""").Success()).GetProperty("id").GetString()!;
            var next = await Ask(layout, """{ "edits": 2 }""");
            Assert.Equal(edit.GetProperty("gainKelvin").GetDouble(), Celsius(solution) - Celsius(next), 0.05);
            gains.Add(Celsius(solution) - Celsius(next));
            solution = next;
        }
        Assert.True(gains.Count >= 2 && gains.Sum() > 5, $"{gains.Count} edits gained {gains.Sum():F1} K");
        Assert.DoesNotContain(solution.GetProperty("findings").EnumerateArray(), finding => Text(finding, "kind") == "planeCut");
    }

    [Fact]
    public async Task EditsAreReturnedWhereTheyAreAskedForAlone()
    {
        string layout = await service.Client.Take(CutPour);
        var solution = await service.Client.Solve($"\"{layout}\"");
        Assert.Empty(solution.GetProperty("edits").EnumerateArray());
        Assert.NotEmpty(solution.GetProperty("findings").EnumerateArray());
    }

    [Theory]
    [InlineData("""{ "edits": [{}] }""", "/edits/0")]
    [InlineData("""{ "edits": [{ "copper": [] }, { "copper": [{ "layer": "L9", "area": { "type": "Polygon", "coordinates": [[[1, 1], [2, 1], [2, 2], [1, 1]]] } }] }] }""", "/edits/1/copper/0/layer")]
    [InlineData("""{ "edits": [], "colour": 1 }""", "/colour")]
    [InlineData("""{ }""", "")]
    public async Task FaultsOfEditsPointIntoWhatWasPosted(string edits, string pointer)
    {
        string layout = await service.Client.Take(CutPour);
        using var refused = await service.Client.PostJson($"/v1/layouts/{layout}/edits", edits);
        Assert.Equal(HttpStatusCode.UnprocessableEntity, refused.StatusCode);
        Assert.Equal(pointer, (await refused.Body()).GetProperty("errors")[0].GetProperty("pointer").GetString());
    }

    [Fact]
    public async Task ALayoutThatIsNotThereCannotBeEdited()
    {
        using var missing = await service.Client.PostJson("/v1/layouts/0123/edits", """{ "edits": [] }""");
        Assert.Equal(HttpStatusCode.NotFound, missing.StatusCode);
    }

    [Theory]
    [InlineData("""{ "edits": 21 }""", "/suggest/edits")]
    [InlineData("""{ "edits": 1, "vias": 2 }""", "/suggest/vias")]
    [InlineData("5", "/suggest")]
    public async Task AFaultyWishForEditsIsTold(string suggest, string pointer)
    {
        string layout = await service.Client.Take(CutPour);
        using var refused = await service.Client.PostJson("/v1/solutions", Request(layout, suggest));
        Assert.Equal(HttpStatusCode.UnprocessableEntity, refused.StatusCode);
        Assert.Equal(pointer, (await refused.Body()).GetProperty("errors")[0].GetProperty("pointer").GetString());
    }

    private Task<JsonElement> Ask(string layout, string suggest) => service.Client.PostJson("/v1/solutions", Request(layout, suggest)).Success();

    private static string Request(string layout, string suggest) =>
        $$"""{ "layout": "{{layout}}", "conditions": {{Boards.Conditions}}, "grid": { "pitchMm": 0.5 }, "suggest": {{suggest}} }""";

    private static string? Text(JsonElement element, string key) => element.GetProperty(key).GetString();

    private static double Celsius(JsonElement solution) => solution.GetProperty("parts")[0].GetProperty("maxCelsius").GetDouble();
}
