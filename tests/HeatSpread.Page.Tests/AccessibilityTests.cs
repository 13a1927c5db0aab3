using System.Diagnostics;
using System.Text.Json;
using Microsoft.Playwright;

namespace HeatSpread.Page.Tests;

/// <summary>
/// The rules of axe-core (npm package, MPL-2.0, fetched here and never kept in the repository) over every page, and what it cannot see: no page may be wider than a narrow screen.
/// </summary>
public sealed class AccessibilityTests(Browsing browsing)
{
    private const string Package = "axe-core@4.14.1";

    private static readonly Lazy<Task<string?>> Axe = new(Fetch);

    [Theory]
    [InlineData("home")]
    [InlineData("board")]
    [InlineData("copper")]
    [InlineData("compare")]
    [InlineData("swipe")]
    [InlineData("new")]
    [InlineData("faults")]
    [InlineData("studies")]
    [InlineData("transient")]
    [InlineData("correlation")]
    public async Task A_page_has_no_serious_finding_light_or_dark(string name)
    {
        await using var under = await browsing.Open(1280, 900);
        string? axe = await Axe.Value;
        if (axe is null) Assert.Skip($"This test fetches {Package} with npm, which is not here or reaches no registry.");
        await Show(under, name, browsing);
        await under.Page.EvaluateAsync(axe);
        string light = await Ink(under);
        Assert.Empty(await Serious(under));
        await under.Page.EmulateMediaAsync(new() { ColorScheme = ColorScheme.Dark });
        Assert.NotEqual(light, await Ink(under));
        await under.Page.EvaluateAsync("() => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done)))"); // what scripts draw again
        Assert.Empty(await Serious(under));
    }

    private static Task<string> Ink(PageUnderTest under) => under.Page.EvaluateAsync<string>("() => getComputedStyle(document.body).color");

    private static async Task<string[]> Serious(PageUnderTest under)
    {
        var result = await under.Page.EvaluateAsync<JsonElement>("async () => { const { violations, passes } = await axe.run(); return { violations, passes: passes.length }; }");
        Assert.True(result.GetProperty("passes").GetInt32() > 10, "axe found nothing to look at");
        return [.. result.GetProperty("violations").EnumerateArray()
            .Where(v => v.GetProperty("impact").GetString() is "serious" or "critical")
            .Select(v => $"{v.GetProperty("id").GetString()}: {v.GetProperty("nodes")[0].GetProperty("html").GetString()}")];
    }

    [Theory]
    [InlineData("home")]
    [InlineData("board")]
    [InlineData("compare")]
    [InlineData("new")]
    [InlineData("faults")]
    [InlineData("studies")]
    [InlineData("transient")]
    [InlineData("correlation")]
    public async Task A_page_is_no_wider_than_a_narrow_screen(string name)
    {
        await using var under = await browsing.Open(360, 740);
        await Show(under, name, browsing);
        Assert.Equal(0, await under.Page.EvaluateAsync<int>("() => document.documentElement.scrollWidth - document.documentElement.clientWidth"));
        under.Finish();
    }

    internal static string AddressOf(string name, Browsing browsing) => name switch
    {
        "home" => "/",
        "board" => $"/board.html?id={browsing.Cut}#part=U1&finding=0&line=5,25,55,25",
        "copper" => $"/board.html?id={browsing.Cut}#show=copper&layer=L2",
        "compare" => $"/compare.html?id={browsing.Comparison}#entry=0",
        "swipe" => $"/compare.html?id={browsing.Comparison}#mode=swipe",
        _ => $"/{name}.html",
    };

    /// <summary>Shows a page with what it has to show.</summary>
    internal static async Task Show(PageUnderTest under, string name, Browsing browsing)
    {
        if (name is "transient" or "correlation")
        {
            var study = name == "transient" ? await StudyPageTests.Study(browsing, StudyPageTests.Films, StudyPageTests.Transient) : await StudyPageTests.Study(browsing, StudyPageTests.Films, StudyPageTests.Correlation, pitchMm: 1);
            await under.Show($"/studies.html?id={study.GetProperty("id").GetString()}");
            await under.Page.WaitForSelectorAsync(".chart svg");
            return;
        }
        if (name == "faults")
        {
            await FaultTests.Post(under, await FaultTests.Faulty());
            await under.Page.Locator(".mark").First.ClickAsync();
            return;
        }
        await under.Show(AddressOf(name, browsing));
        if (name == "new") await Recognise(under);
    }

    internal static async Task Recognise(PageUnderTest under)
    {
        await under.Page.Locator("#files").SetInputFilesAsync(new FilePayload { Name = "lamp.zip", MimeType = "application/zip", Buffer = JobTests.Lamp() });
        await under.Page.WaitForSelectorAsync("#preview table");
    }

    /// <summary>The script of axe-core; null where it cannot be had.</summary>
    private static async Task<string?> Fetch()
    {
        var folder = Directory.CreateTempSubdirectory("heatspread-axe-");
        try
        {
            using var npm = Process.Start(new ProcessStartInfo("npm", ["install", "--prefix", folder.FullName, "--no-audit", "--no-fund", "--ignore-scripts", Package]) { RedirectStandardOutput = true, RedirectStandardError = true });
            if (npm is null) return null;
            await Task.WhenAll(npm.StandardOutput.ReadToEndAsync(), npm.StandardError.ReadToEndAsync(), npm.WaitForExitAsync());
            return npm.ExitCode == 0 ? await File.ReadAllTextAsync(Path.Combine(folder.FullName, "node_modules", "axe-core", "axe.min.js")) : null;
        }
        catch (System.ComponentModel.Win32Exception)
        {
            return null; // no npm
        }
        finally
        {
            folder.Delete(recursive: true);
        }
    }
}
