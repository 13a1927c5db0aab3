using Microsoft.Playwright;

namespace HeatSpread.Page.Tests;

/// <summary>A page in a browser, and what its console complained of.</summary>
public sealed class PageUnderTest : IAsyncDisposable
{
    private readonly IBrowserContext _context;
    private readonly List<string> _complaints = [];

    public PageUnderTest(IBrowserContext context, IPage page)
    {
        ArgumentNullException.ThrowIfNull(page);
        (_context, Page) = (context, page);
        page.Console += (_, message) =>
        {
            if (message.Type == "error" && !message.Text.Contains("status of 4", StringComparison.Ordinal)) _complaints.Add(message.Text); // an answer 4xx is told by the page itself
        };
        page.PageError += (_, fault) => _complaints.Add(fault);
    }

    public IPage Page { get; }

    public ILocator Map => Page.Locator("#map");

    /// <summary>Goes to an address and waits until its map, where it has one, is drawn with its copper.</summary>
    public async Task Show(string address)
    {
        await Page.GotoAsync("about:blank"); // so that a new fragment is a new page
        await Page.GotoAsync(address);
        if (await Map.CountAsync() > 0) await Drawn();
    }

    /// <summary>Waits until the map shows a layer, or whatever it shows.</summary>
    public Task Drawn(string? layer = null) => Page.WaitForSelectorAsync(layer is null ? "#map[data-copper], #map[data-layer^='^']" : $"#map[data-layer='{layer}'][data-copper='{layer}']");

    /// <summary>Nothing was refused by the content security policy, and no script failed.</summary>
    public void Finish() => Assert.Empty(_complaints);

    public ValueTask DisposeAsync() => _context.DisposeAsync();
}
