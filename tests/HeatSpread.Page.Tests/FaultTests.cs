using System.Globalization;
using System.Text;
using System.Text.RegularExpressions;
using Microsoft.Playwright;
using static Microsoft.Playwright.Assertions;

namespace HeatSpread.Page.Tests;

/// <summary>A document with faults: each is at its place in the text and on the drawing.</summary>
public sealed class FaultTests(Browsing browsing)
{
    [Fact]
    public async Task Each_fault_is_in_the_list_and_marked_on_the_drawing_and_one_leads_to_the_other()
    {
        await using var under = await browsing.Open(1280, 900);
        await Post(under, await Faulty());
        var page = under.Page;
        await Expect(page.Locator("#fault")).ToContainTextAsync("4 faults in the document");
        await Expect(page.Locator(".faults > li")).ToHaveCountAsync(4);
        await Expect(page.Locator(".mark")).ToHaveCountAsync(3); // a thickness has no place in the plan
        await Expect(page.Locator("[data-fault='0']")).ToContainTextAsync("/stack/4/thicknessUm");
        await Expect(page.Locator("[data-fault='0'] .marked mark")).ToHaveTextAsync("-510");

        // from the list to the drawing: the track of no width lies on L2
        await page.Locator("[data-fault='2'] button").ClickAsync();
        await Expect(page.GetByRole(AriaRole.Button, new() { Name = "L2", Exact = true })).ToHaveAttributeAsync("aria-pressed", "true");
        await Expect(page.Locator(".mark[aria-pressed='true']")).ToHaveTextAsync("3");

        // and back, by keys
        await page.Locator(".mark").Last.FocusAsync();
        await page.Keyboard.PressAsync("Enter");
        await Expect(page.Locator(".faults .chosen")).ToContainTextAsync("/vias/1/at/1");
        await Expect(page.GetByRole(AriaRole.Button, new() { Name = "L2", Exact = true })).ToHaveAttributeAsync("aria-pressed", "true"); // holes are on every layer
        under.Finish();
    }

    [Fact]
    public async Task A_mark_stands_where_the_geometry_is()
    {
        await using var under = await browsing.Open(1280, 900);
        await Post(under, await Faulty());
        var plate = (await under.Page.Locator(".plate canvas").BoundingBoxAsync())!;
        var mark = (await under.Page.Locator(".mark").Last.BoundingBoxAsync())!; // the hole moved to (4, 4), on a board of 60 by 45 mm
        Assert.Equal(4.0 / 60, (mark.X + mark.Width / 2 - plate.X) / plate.Width, 0.02);
        Assert.Equal(1 - 4.0 / 45, (mark.Y + mark.Height / 2 - plate.Y) / plate.Height, 0.02);
        var crossed = (await under.Page.Locator(".mark").First.BoundingBoxAsync())!; // the switching node, about (27.6, 25.5)
        Assert.Equal(27.6 / 60, (crossed.X + crossed.Width / 2 - plate.X) / plate.Width, 0.02);
        under.Finish();
    }

    [Fact]
    public async Task Lines_and_pointers_are_those_of_the_whole_request_that_was_dropped()
    {
        await using var under = await browsing.Open(1280, 900);
        string request = $"{{\n  \"conditions\": {await File.ReadAllTextAsync(Browsing.Fixture("boards", "demo-conditions.json"), TestContext.Current.CancellationToken)},\n  \"layout\": {await Faulty()}\n}}";
        await Post(under, request);
        int line = 1 + request[..request.IndexOf("-510", StringComparison.Ordinal)].Count(sign => sign == '\n');
        await Expect(under.Page.Locator("[data-fault='0']")).ToContainTextAsync(string.Create(CultureInfo.InvariantCulture, $"Line {line}, column"));
        await Expect(under.Page.Locator("[data-fault='0'] code")).ToHaveTextAsync("/layout/stack/4/thicknessUm");
        await Expect(under.Page.Locator(".mark")).ToHaveCountAsync(3);
        under.Finish();
    }

    [Fact]
    public async Task A_document_that_is_no_JSON_is_told_without_a_drawing()
    {
        await using var under = await browsing.Open(1280, 900);
        await Post(under, "{ \"name\": ");
        await Expect(under.Page.Locator("#fault")).ToContainTextAsync(new Regex("JSON", RegexOptions.IgnoreCase));
        await Expect(under.Page.Locator(".plate")).ToHaveCountAsync(0);
        under.Finish();
    }

    internal static async Task Post(PageUnderTest under, string text)
    {
        await under.Show("/new.html");
        await under.Page.Locator("#files").SetInputFilesAsync(new FilePayload { Name = "faulty.json", MimeType = "application/json", Buffer = Encoding.UTF8.GetBytes(text) });
        await under.Page.WaitForSelectorAsync("#fault .fault");
    }

    /// <summary>The demo board with a negative thickness, a pour that crosses itself, a track of negative width, and a via in a mounting hole.</summary>
    internal static async Task<string> Faulty()
    {
        string layout = await File.ReadAllTextAsync(Browsing.Fixture("boards", "demo-cut.json"), TestContext.Current.CancellationToken);
        foreach (var (sound, faulty) in (ReadOnlySpan<(string, string)>)
        [
            ("\"thicknessUm\": 510", "\"thicknessUm\": -510"),
            ("[[24.8, 23.4], [30.4, 22.6], [30.4, 28.4],", "[[24.8, 23.4], [30.4, 28.4], [30.4, 22.6],"),
            ("[18.2, 24]], \"width\": 0.2", "[18.2, 24]], \"width\": -0.2"),
            ("[27.8, 30.4], [16.4, 26.35]", "[27.8, 30.4], [4, 4]"),
        ])
        {
            int at = layout.IndexOf(sound, StringComparison.Ordinal);
            Assert.True(at >= 0, sound);
            layout = layout.Remove(at, sound.Length).Insert(at, faulty);
        }
        return layout;
    }
}
