using System.Text.RegularExpressions;

namespace HeatSpread.Page.Tests;

/// <summary>A page is light: what it loads of script, and of anything from elsewhere.</summary>
public sealed partial class SizeTests(Browsing browsing)
{
    private const int MostScript = 300_000, MostScriptOfAPage = 130_000;

    [Fact]
    public void All_scripts_together_stay_below_300_kB() =>
        Assert.InRange(Directory.GetFiles(Path.Combine(AppContext.BaseDirectory, "wwwroot", "js"), "*.js").Sum(file => new FileInfo(file).Length), 1, MostScript);

    [Theory]
    [InlineData("home")]
    [InlineData("board")]
    [InlineData("compare")]
    [InlineData("new")]
    public async Task A_page_loads_little_and_nothing_from_elsewhere(string name)
    {
        await using var under = await browsing.Open(1280, 800);
        var asked = new List<string>();
        under.Page.Request += (_, request) => asked.Add(request.Url);
        await under.Show(AccessibilityTests.AddressOf(name, browsing));
        await under.Page.WaitForLoadStateAsync(Microsoft.Playwright.LoadState.NetworkIdle);
        Assert.All(asked.Where(url => url != "about:blank"), url => Assert.StartsWith(browsing.Address.ToString(), url, StringComparison.Ordinal));
        string[] scripts = [.. asked.Where(url => url.EndsWith(".js", StringComparison.Ordinal)).Distinct()];
        Assert.NotEmpty(scripts);
        Assert.InRange(scripts.Sum(url => new FileInfo(Path.Combine(AppContext.BaseDirectory, "wwwroot", "js", Path.GetFileName(url))).Length), 1, MostScriptOfAPage);
        under.Finish();
    }

    /// <summary>All modules are named in the page's head, so that none waits for another to be read first.</summary>
    [Theory]
    [InlineData("index", "home")]
    [InlineData("board", "board")]
    [InlineData("compare", "compare")]
    [InlineData("new", "new")]
    [InlineData("studies", "studies")]
    public void A_page_asks_for_all_its_modules_at_once(string page, string module)
    {
        string root = Path.Combine(AppContext.BaseDirectory, "wwwroot");
        var used = new SortedSet<string>(StringComparer.Ordinal);
        Gather(module + ".js");
        used.Remove(module + ".js");
        Assert.Equal(used, Preloaded().Matches(File.ReadAllText(Path.Combine(root, page + ".html"))).Select(link => link.Groups[1].Value));

        void Gather(string name)
        {
            if (!used.Add(name)) return;
            foreach (Match import in Imports().Matches(File.ReadAllText(Path.Combine(root, "js", name)))) Gather(import.Groups[1].Value);
        }
    }

    [GeneratedRegex("<link rel=\"modulepreload\" href=\"js/([a-z]+\\.js)\">")]
    private static partial Regex Preloaded();

    [GeneratedRegex("from '\\./([a-z]+\\.js)'")]
    private static partial Regex Imports();
}
