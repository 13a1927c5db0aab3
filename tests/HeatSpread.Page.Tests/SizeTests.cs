namespace HeatSpread.Page.Tests;

/// <summary>A page is light: what it loads of script, and of anything from elsewhere.</summary>
public sealed class SizeTests(Browsing browsing)
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
}
