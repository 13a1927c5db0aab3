using System.Globalization;
using System.Text.RegularExpressions;
using Microsoft.Playwright;
using static Microsoft.Playwright.Assertions;

namespace HeatSpread.Page.Tests;

/// <summary>What people expect of any map and any page, and what the page is to do in time.</summary>
public sealed class ConventionTests(Browsing browsing)
{
    [Fact]
    public async Task The_wheel_zooms_about_the_pointer_and_dragging_pans()
    {
        await using var under = await browsing.Open(1280, 800);
        await under.Show($"/board.html?id={browsing.Cut}");
        var page = under.Page;
        var box = (await under.Map.BoundingBoxAsync())!;
        float x = box.X + box.Width * 0.6f, y = box.Y + box.Height * 0.4f;
        await page.Mouse.MoveAsync(x, y);
        var before = await Place(page);
        await page.Mouse.WheelAsync(0, -400);
        await Expect(page).ToHaveURLAsync(new Regex("view="));
        await page.Mouse.MoveAsync(x + 1, y);
        await page.Mouse.MoveAsync(x, y);
        var after = await Place(page);
        Assert.Equal(before.X, after.X, 0.05);
        Assert.Equal(before.Y, after.Y, 0.05);
        Assert.True(await page.EvaluateAsync<double>("() => window.scrollY") == 0, "the page scrolled instead");
        await page.Mouse.DownAsync();
        await page.Mouse.MoveAsync(x + 60, y + 30, new() { Steps = 4 });
        await page.Mouse.UpAsync();
        var dragged = await Place(page); // what was under the pointer came along
        Assert.Equal(after.X, dragged.X, 0.2);
        Assert.Equal(after.Y, dragged.Y, 0.2);
        under.Finish();
    }

    [Fact]
    public async Task Back_goes_through_what_was_looked_at()
    {
        await using var under = await browsing.Open(1280, 800);
        await under.Show($"/board.html?id={browsing.Cut}#layer=L1");
        var page = under.Page;
        await under.Map.FocusAsync();
        await page.Keyboard.PressAsync("ArrowDown");
        await under.Drawn("L2");
        await page.GetByRole(AriaRole.Button, new() { Name = "U1", Exact = true }).ClickAsync();
        await Expect(page.Locator("#part-title")).ToHaveTextAsync("The heat of U1");
        await page.GoBackAsync();
        await Expect(page.Locator("#part-section")).ToBeHiddenAsync();
        await page.GoBackAsync();
        await under.Drawn("L1");
        await page.GoForwardAsync();
        await under.Drawn("L2");
        under.Finish();
    }

    [Fact]
    public async Task Escape_lets_go_step_by_step_and_shows_the_whole_board_at_last()
    {
        await using var under = await browsing.Open(1280, 800);
        await under.Show($"/board.html?id={browsing.Cut}#part=U1&finding=0&line=5,25,55,25&view=20,20,3");
        var page = under.Page;
        await under.Map.FocusAsync();
        foreach (var (gone, staying) in ((string, string)[])[("finding=", "part="), ("part=", "line="), ("line=", "view="), ("view=", "id=")])
        {
            await page.Keyboard.PressAsync("Escape");
            await Expect(page).Not.ToHaveURLAsync(new Regex(gone));
            await Expect(page).ToHaveURLAsync(new Regex(staying));
        }
        under.Finish();
    }

    [Fact]
    public async Task An_address_holds_every_choice()
    {
        await using var under = await browsing.Open(1280, 800);
        await under.Show($"/board.html?id={browsing.Cut}#layer=L3&scale=30,90&palette=grey&iso=1&outlines=0&line=5,25,55,25&view=30,22,2.5");
        var page = under.Page;
        await under.Drawn("L3");
        await Expect(page.GetByLabel("Colours")).ToHaveValueAsync("grey");
        await Expect(page.GetByLabel("Lower end of the scale")).ToHaveValueAsync("30");
        await Expect(page.GetByLabel("Upper end of the scale")).ToHaveValueAsync("90");
        await Expect(page.GetByLabel("Isotherms")).ToBeCheckedAsync();
        await Expect(page.GetByLabel("Parts", new() { Exact = true })).Not.ToBeCheckedAsync();
        await Expect(page.GetByLabel("B x of the line, mm")).ToHaveValueAsync("55");
        await Expect(page.Locator("#block")).ToContainTextAsync("30.0 to 90.0 °C");
        Assert.Matches(@"view=30(\.00)?,22(\.00)?,2\.5", await page.EvaluateAsync<string>("() => decodeURIComponent(location.hash)"));

        // a choice made by hand is in the address at once, and the same view comes of it
        await page.GetByLabel("Colours").SelectOptionAsync("warm");
        await page.GetByLabel("Isotherms").UncheckAsync();
        string shared = page.Url;
        await under.Show(shared);
        await Expect(page.GetByLabel("Colours")).ToHaveValueAsync("warm");
        await Expect(page.GetByLabel("Isotherms")).Not.ToBeCheckedAsync();
        under.Finish();
    }

    /// <summary>From the key to the map, on the demo board; the second change, as the first opens the network.</summary>
    [Fact]
    public async Task The_map_follows_other_watts_and_other_air_in_under_a_second()
    {
        await using var under = await browsing.Open(1280, 900);
        await under.Show($"/board.html?id={browsing.Unbroken}");
        await Follows(under, "U1, W", "2.0");
        double watts = await Least(under, "U1, W", ["2.2", "2.4", "1.9"]), air = await Least(under, "Ambient, °C", ["35", "45", "30"]);
        TestContext.Current.TestOutputHelper!.WriteLine(string.Create(CultureInfo.InvariantCulture, $"watts {watts:0} ms, air {air:0} ms"));
        Assert.True(watts < 1000, $"watts: {watts} ms");
        Assert.True(air < 1000, $"air: {air} ms");
        under.Finish();
    }

    /// <summary>With nothing cached, on this machine's loopback. The least of up to five is held against a second, as other work on the machine only adds to it.</summary>
    [Theory]
    [InlineData("home")]
    [InlineData("board")]
    [InlineData("compare")]
    [InlineData("new")]
    [InlineData("studies")]
    public async Task The_first_paint_comes_within_a_second(string name)
    {
        var times = new List<double>();
        for (int i = 0; i < 5 && (i == 0 || times.Min() >= 1000); i++)
        {
            await using var under = await browsing.Open(1280, 800); // a context of its own: its cache is empty
            await under.Page.GotoAsync(AccessibilityTests.AddressOf(name, browsing));
            times.Add(await under.Page.EvaluateAsync<double>("() => new Promise((told) => new PerformanceObserver((list) => list.getEntriesByName('first-contentful-paint').forEach((each) => told(each.startTime))).observe({ type: 'paint', buffered: true }))"));
        }
        TestContext.Current.TestOutputHelper!.WriteLine(string.Create(CultureInfo.InvariantCulture, $"{name}: {times.Min():0} ms"));
        Assert.True(times.Min() < 1000, string.Join(", ", times));
    }

    private static async Task<double> Least(PageUnderTest under, string label, string[] values)
    {
        double least = double.PositiveInfinity;
        foreach (string value in values) least = Math.Min(least, await Follows(under, label, value));
        return least;
    }

    /// <summary>Milliseconds from the input to the first map that shows the change.</summary>
    private static async Task<double> Follows(PageUnderTest under, string label, string value)
    {
        var field = under.Page.GetByLabel(label, new() { Exact = true });
        await field.FocusAsync();
        var told = under.Page.EvaluateAsync<double>("""
            () => new Promise((told) => {
              const map = document.getElementById('map'), start = { at: 0 };
              document.addEventListener('input', () => (start.at = performance.now()), { once: true, capture: true });
              delete map.dataset.trial;
              new MutationObserver((_, watch) => {
                if (!start.at || !map.dataset.trial) return;
                watch.disconnect();
                requestAnimationFrame(() => requestAnimationFrame(() => told(performance.now() - start.at)));
              }).observe(map, { attributes: true, attributeFilter: ['data-trial'] });
            })
            """);
        await under.Page.EvaluateAsync("() => 0"); // the watch above is set when this returns
        await field.FillAsync(value);
        double milliseconds = await told;
        await Expect(under.Page.Locator("#trial")).ToContainTextAsync("Tried: peak");
        return milliseconds;
    }

    private static async Task<(double X, double Y)> Place(IPage page)
    {
        await Expect(page.Locator("#point")).ToContainTextAsync("mm");
        var read = Regex.Match((await page.Locator("#point").TextContentAsync())!, @"x (-?\d+\.\d+), y (-?\d+\.\d+) mm");
        return (double.Parse(read.Groups[1].Value, CultureInfo.InvariantCulture), double.Parse(read.Groups[2].Value, CultureInfo.InvariantCulture));
    }
}
