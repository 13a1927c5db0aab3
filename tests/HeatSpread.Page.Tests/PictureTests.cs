using HeatSpread.Tests.Rendering;
using Microsoft.Playwright;
using SkiaSharp;

namespace HeatSpread.Page.Tests;

/// <summary>
/// The pages as they were looked at and approved, in the widths of a telephone, a notebook and a large screen. Text is set in the bundled typeface here, so that a machine's own do not
/// matter; what differs from run to run (ids, times) is covered. HEATSPREAD_APPROVE=1 writes the pictures anew.
/// </summary>
public sealed class PictureTests(Browsing browsing)
{
    /// <summary>As for the pictures that the service draws.</summary>
    private const double LeastLikeness = 0.9;

    private const string SetTypeface = """
        async (base64) => {
          const bytes = Uint8Array.from(atob(base64), (c) => c.charCodeAt(0));
          document.fonts.add(await new FontFace('Approved', bytes).load());
          const sheet = new CSSStyleSheet();
          sheet.replaceSync('*, :root { font-family: Approved !important; } time, .id { visibility: hidden; }');
          document.adoptedStyleSheets = [sheet];
          window.dispatchEvent(new Event('resize'));
          document.getElementById('map')?.dispatchEvent(new KeyboardEvent('keydown', { key: '0' }));
        }
        """;

    public static TheoryData<string, int, bool> Pictures => new()
    {
        { "home", 360, false }, { "home", 1280, false }, { "home", 2560, false },
        { "board", 360, false }, { "board", 1280, false }, { "board", 1280, true }, { "board", 2560, false },
        { "compare", 360, false }, { "compare", 1280, false }, { "compare", 2560, true },
        { "new", 360, true }, { "new", 1280, false }, { "new", 2560, false },
        { "faults", 360, false }, { "faults", 1280, true }, { "transient", 360, true }, { "transient", 1280, false }, { "correlation", 1280, false }, { "correlation", 2560, true },
    };

    [Theory]
    [MemberData(nameof(Pictures))]
    public async Task A_page_looks_as_approved(string name, int width, bool dark)
    {
        if (name == "home") await browsing.RemoveOthers();
        await using var under = await browsing.Open(width, width switch { 360 => 1400, 1280 => 900, _ => 1300 }, dark);
        await AccessibilityTests.Show(under, name, browsing);
        string font = Convert.ToBase64String(await File.ReadAllBytesAsync(Path.Combine(Browsing.Root, "src", "HeatSpread.Rendering", "Fonts", "Inter_400Regular.ttf"), TestContext.Current.CancellationToken));
        await under.Page.EvaluateAsync(SetTypeface, font);
        byte[] png = await Still(under);
        string path = Browsing.Fixture("approved", "pages", $"{name}-{width}{(dark ? "-dark" : "")}.png");
        if (Environment.GetEnvironmentVariable("HEATSPREAD_APPROVE") == "1") await File.WriteAllBytesAsync(path, png, TestContext.Current.CancellationToken);
        Assert.True(File.Exists(path), $"{Path.GetFileName(path)} is not approved yet; run with HEATSPREAD_APPROVE=1 and look at what is written.");
        using var expected = SKBitmap.Decode(path);
        using var actual = SKBitmap.Decode(png);
        var (likeness, x, y) = PictureComparer.WorstWindow(expected, actual);
        Assert.True(likeness >= LeastLikeness, $"{Path.GetFileName(path)}: likeness {likeness:0.000} in the window at ({x}, {y}); {LeastLikeness} is demanded.");
    }

    /// <summary>The picture when it no longer changes: pictures in it and closer looks at the copper arrive after each other.</summary>
    private static async Task<byte[]> Still(PageUnderTest under)
    {
        await under.Page.WaitForLoadStateAsync(LoadState.NetworkIdle);
        byte[] last = await under.Page.ScreenshotAsync();
        for (int i = 0; i < 20; i++)
        {
            await Task.Delay(400, TestContext.Current.CancellationToken);
            byte[] next = await under.Page.ScreenshotAsync();
            if (next.AsSpan().SequenceEqual(last)) return next;
            last = next;
        }
        return last;
    }
}
