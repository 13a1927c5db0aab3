using System.Text.Json;
using System.Text.RegularExpressions;
using static Microsoft.Playwright.Assertions;

namespace HeatSpread.Page.Tests;

/// <summary>Transients and correlations as plots and tables, with values under the pointer, by keys and as CSV.</summary>
public sealed class StudyPageTests(Browsing browsing)
{
    internal const string Films = """{ "ambientCelsius": 25, "surfaces": { "top": { "filmWattsPerM2K": 13 }, "bottom": { "filmWattsPerM2K": 13 } } }""";

    internal const string Transient = """
        "transient": { "endSeconds": 600, "impedances": ["U1", "L10"], "schedule": { "start": "ambient", "stages": [ {"seconds": 0, "watts": {}}, {"seconds": 60, "watts": {"U1": 2.8}} ] },
          "pulse": { "part": "U1", "watts": 5, "baseWatts": 0.5, "onSeconds": 0.1, "periodSeconds": 0.5 } }
        """;

    internal const string Correlation = """
        "correlation": { "points": [ {"part": "U1", "celsius": 85.1, "toleranceKelvin": 1}, {"part": "L10", "celsius": 74, "toleranceKelvin": 1}, {"part": "C1", "celsius": 55.6, "toleranceKelvin": 1}, {"part": "R2", "celsius": 68.6, "toleranceKelvin": 1},
          {"probe": "TP1", "celsius": 76.1, "toleranceKelvin": 1}, {"probe": "TP2", "celsius": 43.7, "toleranceKelvin": 1} ],
          "inputs": [ {"quantity": "filmWattsPerM2K", "side": "top", "least": 4, "most": 40}, {"quantity": "filmWattsPerM2K", "side": "bottom", "least": 4, "most": 40}, {"quantity": "watts", "part": "U1", "least": 0.5, "most": 3} ] }
        """;

    [Fact]
    public async Task A_transient_is_read_over_the_logarithm_of_time()
    {
        var study = await Study(browsing, Films, Transient);
        await using var under = await browsing.Open(1280, 900);
        await under.Show($"/studies.html?id={study.GetProperty("id").GetString()}");
        var page = under.Page;
        var transient = study.GetProperty("transient");
        await Expect(page.Locator("#study")).ToContainTextAsync($"{transient.GetProperty("pulse").GetProperty("peakCelsius").GetDouble():0.0} °C".Replace(' ', '\u00a0'));
        await Expect(page.Locator("#study")).ToContainTextAsync(transient.GetProperty("warnings")[0].GetString()!);

        // powers of ten lie evenly
        var ticks = await page.Locator(".chart").First.EvaluateAsync<double[]>("chart => ['1\u00a0s', '10\u00a0s', '100\u00a0s'].map(text => Number([...chart.querySelectorAll('text')].find(t => t.textContent === text).getAttribute('x')))");
        Assert.Equal(ticks[1] - ticks[0], ticks[2] - ticks[1], 0.5);

        // the first value by keys is the first of the curve that begins earliest
        var curves = transient.GetProperty("impedances").EnumerateArray().ToList();
        var first = curves.MinBy(curve => curve.GetProperty("seconds")[0].GetDouble());
        await page.Locator(".plot").First.FocusAsync();
        await page.Keyboard.PressAsync("ArrowRight");
        string said = (await page.Locator(".said").First.TextContentAsync())!;
        Assert.Contains($"{first.GetProperty("part").GetString()} {Digits(first.GetProperty("kelvinPerWatt")[0].GetDouble())}", said, StringComparison.Ordinal);
        await page.Keyboard.PressAsync("End");
        foreach (var curve in curves.Where(curve => curve.GetProperty("seconds").EnumerateArray().Last().GetDouble() >= curves.Max(other => other.GetProperty("seconds").EnumerateArray().Last().GetDouble())))
            await Expect(page.Locator(".said").First).ToContainTextAsync(Digits(curve.GetProperty("kelvinPerWatt").EnumerateArray().Last().GetDouble()));

        // under the pointer too, and as a file
        await page.Locator(".plot").Nth(1).HoverAsync();
        await Expect(page.Locator(".said").Nth(1)).ToContainTextAsync(new Regex("Time, s: .*U1 \\d"));
        string csv = await Download(under, page.Locator(".chart").First.GetByText("CSV"));
        Assert.Equal(1 + curves.SelectMany(curve => curve.GetProperty("seconds").EnumerateArray().Select(at => at.GetDouble())).Distinct().Count(), csv.TrimEnd().Split('\n').Length);
        under.Finish();
    }

    [Fact]
    public async Task A_correlation_tells_what_was_fitted_what_is_left_and_what_the_points_cannot_tell()
    {
        var study = await Study(browsing, Films, Correlation, pitchMm: 1);
        var correlation = study.GetProperty("correlation");
        await using var under = await browsing.Open(1280, 900);
        await under.Show($"/studies.html?id={study.GetProperty("id").GetString()}");
        var page = under.Page;
        foreach (var text in correlation.GetProperty("text").EnumerateArray()) await Expect(page.Locator(".remark").Filter(new() { HasText = text.GetString()! })).ToHaveCountAsync(1);
        Assert.NotEmpty(correlation.GetProperty("text").EnumerateArray());
        await Expect(page.Locator(".sidetable").First.Locator("tbody tr")).ToHaveCountAsync(3);
        await Expect(page.Locator(".sidetable").First).ToContainTextAsync("watts of U1, W");

        // the point by keys: names, and both temperatures
        var coolest = correlation.GetProperty("points").EnumerateArray().MinBy(point => point.GetProperty("computedCelsius").GetDouble());
        await page.Locator(".plot").First.FocusAsync();
        await page.Keyboard.PressAsync("ArrowRight");
        await Expect(page.Locator(".said").First).ToContainTextAsync($"{coolest.GetProperty("name").GetString()} {Digits(coolest.GetProperty("measuredCelsius").GetDouble())}");

        // residuals as a file are those of the answer
        string csv = await Download(under, page.Locator(".sidetable").Filter(new() { HasText = "What is left" }).GetByText("CSV"));
        foreach (var point in correlation.GetProperty("points").EnumerateArray()) Assert.Contains(point.GetProperty("residualKelvin").GetRawText(), csv, StringComparison.Ordinal);
        await Expect(page.Locator(".sidetable").Last.Locator(".fail").First).ToBeVisibleAsync(); // the two films go together
        under.Finish();
    }

    internal static async Task<JsonElement> Study(Browsing browsing, string conditions, string asked, int pitchMm = 2)
    {
        string layout = await File.ReadAllTextAsync(Browsing.Fixture("boards", "demo-cut.json"), TestContext.Current.CancellationToken);
        var study = await browsing.Post("/v1/studies", $$"""{ "layout": {{layout}}, "conditions": {{conditions}}, "grid": { "pitchMm": {{pitchMm}} }, {{asked}} }""");
        Assert.Equal("solved", study.GetProperty("state").GetString());
        return study;
    }

    private static async Task<string> Download(PageUnderTest under, Microsoft.Playwright.ILocator button)
    {
        var download = await under.Page.RunAndWaitForDownloadAsync(() => button.ClickAsync());
        return await File.ReadAllTextAsync(await download.PathAsync(), TestContext.Current.CancellationToken);
    }

    /// <summary>Five digits, as the page tells a value that is read.</summary>
    private static string Digits(double value) => double.Parse(value.ToString("G5", System.Globalization.CultureInfo.InvariantCulture), System.Globalization.CultureInfo.InvariantCulture).ToString(System.Globalization.CultureInfo.InvariantCulture);
}
