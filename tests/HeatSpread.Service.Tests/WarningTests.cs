using System.Text.Json;

namespace HeatSpread.Service.Tests;

public sealed class WarningTests(SharedService service)
{
    private readonly HttpClient _client = service.Client;

    private static string[] Of(JsonElement answer) => [.. answer.GetProperty("warnings").EnumerateArray().Select(text => text.GetString()!)];

    [Fact]
    public async Task A_board_within_all_ranges_has_none() => Assert.Empty(Of(await _client.Solve(Boards.Plate("no warnings"), grid: """{ "pitchMm": 1 }""")));

    /// <summary>A dozen watts on a small board in still air: solder, laminate, air and the material's own law are all left, and each is told.</summary>
    [Fact]
    public async Task An_absurd_field_says_what_it_leaves()
    {
        string layout = Boards.Plate("absurd", watts: 16)
            .Replace("\"material\": \"fr4\"", "\"material\": \"core-x\"", StringComparison.Ordinal)
            .Replace("\"stack\": [", "\"materials\": { \"core-x\": { \"inPlane\": 0.9, \"through\": 0.4, \"perKelvin\": -0.002 } }, \"stack\": [", StringComparison.Ordinal);
        const string conditions = """{ "ambientCelsius": 25, "surfaces": { "top": { "stillAir": { "orientation": "vertical" } }, "bottom": { "stillAir": { "orientation": "vertical" } } } }""";
        string[] warnings = Of(await _client.Solve(layout, conditions, """{ "pitchMm": 1 }"""));

        Assert.Contains(warnings, text => text.Contains("tin-silver-copper solder melts and epoxy laminate chars", StringComparison.Ordinal));
        Assert.Contains(warnings, text => text.Contains("`core-x` ends at 500 °C, and beyond it its `perKelvin` would fall below 5 %", StringComparison.Ordinal)); // 25 + 0.95 / 0.002
        Assert.Contains(warnings, text => text.StartsWith("Top: At the hottest place of the face", StringComparison.Ordinal));
        Assert.Contains(warnings, text => text.Contains("what is known of `copper` ends at 250 °C", StringComparison.Ordinal));
        Assert.Contains(warnings, text => text.Contains("U1 ", StringComparison.Ordinal) && text.Contains("silicon", StringComparison.Ordinal));
    }
}
