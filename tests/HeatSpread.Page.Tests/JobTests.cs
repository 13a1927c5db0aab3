using System.Globalization;
using System.IO.Compression;
using System.Text.RegularExpressions;
using Microsoft.Playwright;
using static Microsoft.Playwright.Assertions;

namespace HeatSpread.Page.Tests;

/// <summary>What people come to the page for, from end to end.</summary>
public sealed partial class JobTests(Browsing browsing)
{
    /// <summary>The address is asked for again and again: a page that is there before one waits for it would be missed by waiting for the event.</summary>
    private static readonly PageAssertionsToHaveURLOptions Patiently = new() { Timeout = 120_000 };

    [Fact]
    public async Task A_board_that_a_script_posted_is_in_the_list_and_tells_why_it_is_hot()
    {
        await using var under = await browsing.Open(1280, 800);
        await under.Show("/");
        var page = under.Page;
        await page.Locator(".card", new() { Has = page.Locator($"a[href='board.html?id={browsing.Cut}']") }).GetByRole(AriaRole.Link, new() { Name = "Revision B" }).ClickAsync();
        await under.Drawn("L1");
        await Expect(page.GetByRole(AriaRole.Heading, new() { Name = "Field gateway supply B" })).ToBeVisibleAsync();
        await Expect(page.Locator("#parts tbody tr").First).ToContainTextAsync("U1");

        // a finding and its place on the map belong together, both ways
        await page.Locator("[data-finding='1']").ClickAsync(); // AGND cuts GND on L2
        await under.Drawn("L2");
        await Expect(page).ToHaveURLAsync(new Regex("finding=1"));
        await page.Locator("#spots button").First.ClickAsync();
        await under.Drawn("L1");
        await page.GoBackAsync();
        await under.Drawn("L2");
        under.Finish();
    }

    [Fact]
    public async Task The_reading_under_the_pointer_is_the_number_of_the_field()
    {
        await using var under = await browsing.Open(1280, 800);
        await under.Show($"/board.html?id={browsing.Cut}#layer=L1");
        var page = under.Page;
        var box = (await under.Map.BoundingBoxAsync())!;
        await page.Mouse.MoveAsync(box.X + box.Width * 0.45f, box.Y + box.Height * 0.5f);
        await Expect(page.Locator("#point")).ToContainTextAsync("°C");
        string text = (await page.Locator("#point").TextContentAsync())!;
        var read = Reading().Match(text);
        Assert.True(read.Success, text);
        double celsius = Number(read.Groups[1]), x = Number(read.Groups[2]), y = Number(read.Groups[3]);
        using var response = await browsing.Client.GetAsync(new Uri(browsing.Address, $"/v1/solutions/{browsing.Cut}/layers/L1.npy"), TestContext.Current.CancellationToken);
        byte[] npy = await response.Content.ReadAsByteArrayAsync(TestContext.Current.CancellationToken);
        int start = 10 + BitConverter.ToUInt16(npy, 8), columns = 120; // 60 mm at 0.5 mm
        float Cell(double atX, double atY) => BitConverter.ToSingle(npy, start + sizeof(float) * ((int)(atY / 0.5) * columns + (int)(atX / 0.5)));
        // the place is told to 0.01 mm, so on a side of a cell either may be meant
        float[] cells = [Cell(x - 0.006, y - 0.006), Cell(x + 0.006, y - 0.006), Cell(x - 0.006, y + 0.006), Cell(x + 0.006, y + 0.006)];
        Assert.Contains(cells, cell => Math.Abs(cell - celsius) <= 0.051);
        under.Finish();

        static double Number(Group group) => double.Parse(group.Value, CultureInfo.InvariantCulture);
    }

    [Fact]
    public async Task Two_revisions_are_compared_and_the_ledger_adds_up_to_the_change()
    {
        await using var under = await browsing.Open(1280, 800);
        await under.Show("/");
        var page = under.Page;
        foreach (string id in (string[])[browsing.Unbroken, browsing.Cut]) await page.Locator($"input[value='{id}']").CheckAsync();
        await page.GetByRole(AriaRole.Button, new() { Name = "Compare the two" }).ClickAsync();
        await Expect(page).ToHaveURLAsync(new Regex("compare\\.html"), Patiently);
        await under.Drawn("L1");
        await Expect(page.Locator("#title")).ToHaveTextAsync("Field gateway supply B against A");
        string[] figures = [.. await page.Locator("#ledger .gain").AllTextContentsAsync()];
        string change = Signed().Match((await page.Locator("#ledger strong").TextContentAsync())!).Value;
        Assert.Equal(Value(change), figures.Sum(figure => Value(Signed().Match(figure).Value)), 0.05 * figures.Length + 1e-9);
        Assert.True(Value(change) > 10, change); // the demo: about 64 °C against about 83 °C

        await page.Locator("[data-entry='0']").ClickAsync();
        await Expect(page).ToHaveURLAsync(new Regex("entry=0"));
        await page.GetByLabel("Swipe", new() { Exact = true }).CheckAsync();
        await page.GetByLabel("Place of the swipe").FillAsync("0.3");
        await Expect(page).ToHaveURLAsync(new Regex("at=0.3"));
        await page.GetByLabel("Blink", new() { Exact = true }).CheckAsync();
        await Expect(page.Locator("#side")).ToHaveTextAsync("Revision B");
        await page.GetByRole(AriaRole.Button, new() { Name = "Turn over" }).ClickAsync();
        await Expect(page.Locator("#side")).ToHaveTextAsync("Revision A (baseline)");
        under.Finish();

        static double Value(string text) => double.Parse(text.Replace('\u2212', '-'), NumberStyles.Float, CultureInfo.InvariantCulture);
    }

    [Fact]
    public async Task A_new_board_goes_from_a_ZIP_of_fabrication_files_to_a_map()
    {
        await using var under = await browsing.Open(1280, 800);
        await under.Show("/new.html");
        var page = under.Page;
        await page.Locator("#files").SetInputFilesAsync(new FilePayload { Name = "lamp.zip", MimeType = "application/zip", Buffer = Lamp() });
        await Expect(page.Locator("#preview")).ToContainTextAsync("lamp.gtl");
        await Give(page, "U1", "1.1");
        await Give(page, "L1", "0.4");
        await Expect(page.Locator("#ask")).ToContainTextAsync("2 parts make heat");
        await page.GetByLabel("Cells of").FillAsync("0.5");
        await page.GetByRole(AriaRole.Button, new() { Name = "Solve" }).ClickAsync();
        await Expect(page).ToHaveURLAsync(new Regex("board\\.html\\?id="), Patiently);
        await under.Drawn("L1");
        await Expect(page.Locator("#parts tbody tr").First).ToContainTextAsync("U1");
        await Expect(page.Locator("#block")).ToContainTextAsync("1.50 W");
        under.Finish();
    }

    [Fact]
    public async Task Watts_changed_in_place_move_the_map_and_the_parts_and_can_be_taken_back()
    {
        await using var under = await browsing.Open(1280, 1000);
        await under.Show($"/board.html?id={browsing.Unbroken}");
        var page = under.Page;
        var cell = page.Locator("tr[data-part='U1'] td").Nth(1);
        string before = (await cell.TextContentAsync())!;
        await page.GetByLabel("U1, W").FillAsync("2.4"); // 1 W more
        await Expect(page.Locator("#trial")).ToContainTextAsync("Tried: peak");
        await Expect(cell).ToContainTextAsync("+");
        await Expect(page).ToHaveURLAsync(new Regex("try="));
        string shared = page.Url, tried = (await cell.TextContentAsync())!;
        await page.GetByRole(AriaRole.Button, new() { Name = "Back to the solution" }).ClickAsync();
        await Expect(cell).ToHaveTextAsync(before);

        // the address holds what was tried
        await under.Show(shared);
        await Expect(page.Locator("tr[data-part='U1'] td").Nth(1)).ToHaveTextAsync(tried);
        under.Finish();
    }

    [Fact]
    public async Task The_map_is_worked_by_keys_and_every_view_has_an_address()
    {
        await using var under = await browsing.Open(1280, 800);
        await under.Show($"/board.html?id={browsing.Cut}#layer=L1");
        var page = under.Page;
        await under.Map.FocusAsync();
        await page.Keyboard.PressAsync("ArrowDown");
        await under.Drawn("L2");
        await page.Keyboard.PressAsync("ArrowUp");
        await page.Keyboard.PressAsync("ArrowUp");
        await Expect(page.Locator("input[value='^top']")).ToBeCheckedAsync();
        await page.Keyboard.PressAsync("ArrowDown");
        await page.Keyboard.PressAsync("Shift+ArrowLeft");
        await Expect(page.Locator("#point")).ToContainTextAsync("°C");
        await page.Keyboard.PressAsync("+");
        await Expect(page).ToHaveURLAsync(new Regex("view="));
        await page.Keyboard.PressAsync("Enter");
        await page.Keyboard.PressAsync("Escape");
        await page.Keyboard.PressAsync("Escape");
        string address = page.Url;
        await under.Show($"/board.html?id={browsing.Cut}#part=U1&show=benefit&layer=L2&line=5,25,55,25");
        await Expect(page.Locator("#part-title")).ToHaveTextAsync("The heat of U1");
        await Expect(page.Locator("#map[data-show='benefit'][data-layer='L2']")).ToBeVisibleAsync();
        await Expect(page.Locator(".chart figcaption")).ToContainTextAsync("50.0 mm");
        Assert.NotEqual(address, page.Url);
        under.Finish();
    }

    [Fact]
    public async Task Faults_of_a_document_are_shown_at_their_places()
    {
        await using var under = await browsing.Open(1280, 800);
        await under.Show("/new.html");
        const string Layout = """
            {
              "name": "faulty", "unit": "mm",
              "outline": { "type": "Polygon", "coordinates": [[[0, 0], [20, 0], [20, 10], [0, 10], [0, 0]]] },
              "stack": [{ "kind": "copper", "name": "L1", "thicknessUm": -35 }],
              "copper": [{ "layer": "L9", "net": "GND", "area": { "type": "Polygon", "coordinates": [[[0, 0], [5, 0], [5, 5], [0, 0]]] } }]
            }
            """;
        await under.Page.Locator("#files").SetInputFilesAsync(new FilePayload { Name = "faulty.json", MimeType = "application/json", Buffer = System.Text.Encoding.UTF8.GetBytes(Layout) });
        await Expect(under.Page.Locator("#fault")).ToContainTextAsync("/stack/0/thicknessUm");
        await Expect(under.Page.Locator("#fault mark").First).ToHaveTextAsync("-35");
        await Expect(under.Page.Locator("#fault")).ToContainTextAsync("Line 4, column");
        under.Finish();
    }

    private static async Task Give(IPage page, string part, string watts)
    {
        var read = page.WaitForResponseAsync(response => response.Url.Contains("preview=true", StringComparison.Ordinal));
        await page.GetByLabel($"Watts of {part}").FillAsync(watts);
        await page.Keyboard.PressAsync("Tab");
        await read;
        await Expect(page.GetByLabel($"Watts of {part}")).ToHaveValueAsync(watts);
    }

    /// <summary>The lamp's fabrication files as one archive.</summary>
    internal static byte[] Lamp()
    {
        using var bytes = new MemoryStream();
        using (var zip = new ZipArchive(bytes, ZipArchiveMode.Create, leaveOpen: true))
        {
            foreach (string file in Directory.GetFiles(Browsing.Fixture("fabrication", "lamp"), "lamp*").Order(StringComparer.Ordinal)) zip.CreateEntryFromFile(file, Path.GetFileName(file));
        }
        return bytes.ToArray();
    }

    [GeneratedRegex(@"^(\d+\.\d) °C.*x (-?\d+\.\d+), y (-?\d+\.\d+) mm$")]
    private static partial Regex Reading();

    [GeneratedRegex("[+\u2212]?[0-9.]+")]
    private static partial Regex Signed();
}
