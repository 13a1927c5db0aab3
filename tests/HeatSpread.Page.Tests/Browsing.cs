using System.Text;
using System.Text.Json;
using HeatSpread.Benchmarks.Service;
using HeatSpread.Page.Tests;
using Microsoft.Playwright;

[assembly: AssemblyFixture(typeof(Browsing))]
[assembly: Xunit.v3.Parallelization(Mode = Xunit.Sdk.ParallelMode.None)] // one browser on as few cores as there are: pages beside each other only wait longer

namespace HeatSpread.Page.Tests;

/// <summary>The service as a process on a port of its own, with the demo pair solved and compared, and a browser that looks at it.</summary>
public sealed class Browsing : IAsyncLifetime
{
    private const string Chromium = "/usr/bin/chromium";

    // Nothing but the service is asked, and the same picture comes of the same page on a machine with and without a graphics card.
    private static readonly string[] Options =
    [
        "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking", "--disable-component-update", "--disable-sync", "--hide-scrollbars", "--force-color-profile=srgb",
        "--font-render-hinting=none", "--disable-lcd-text",
    ];

    private readonly DirectoryInfo _folder = Directory.CreateTempSubdirectory("heatspread-page-");
    private readonly HttpClient _client = new() { Timeout = TimeSpan.FromMinutes(5) };
    private ServiceProcess? _service;
    private IPlaywright? _playwright;
    private IBrowser? _browser;

    public Uri Address => _service!.Address;

    /// <summary>Id of the solution of the unbroken revision.</summary>
    public string Unbroken { get; private set; } = "";

    /// <summary>Id of the solution of the cut revision.</summary>
    public string Cut { get; private set; } = "";

    /// <summary>Id of the comparison of the cut revision with the unbroken one.</summary>
    public string Comparison { get; private set; } = "";

    public HttpClient Client => _client;

    public async ValueTask InitializeAsync()
    {
        if (!File.Exists(Chromium)) return; // each test says so itself
        _service = new ServiceProcess(Path.Combine(AppContext.BaseDirectory, "HeatSpread.Service.dll"), Path.Combine(_folder.FullName, "data"));
        await _service.Answers(_client, "/health/ready", CancellationToken.None);
        Unbroken = await Solve("demo-unbroken.json");
        Cut = await Solve("demo-cut.json");
        Comparison = (await Post("/v1/comparisons", $$"""{ "baseline": "{{Unbroken}}", "candidates": ["{{Cut}}"] }""")).GetProperty("id").GetString()!;
        _playwright = await Playwright.CreateAsync();
        _browser = await _playwright.Chromium.LaunchAsync(new() { ExecutablePath = Chromium, Args = Options });
    }

    public async ValueTask DisposeAsync()
    {
        if (_browser is not null) await _browser.DisposeAsync();
        _playwright?.Dispose();
        _service?.Dispose();
        _client.Dispose();
        _folder.Delete(recursive: true);
    }

    /// <summary>A fresh page that has seen nothing yet. Faults in its console fail the test that calls <see cref="PageUnderTest.Finish"/>.</summary>
    public async Task<PageUnderTest> Open(int width, int height, bool dark = false)
    {
        if (_browser is null) Assert.Skip($"These tests look at the page with {Chromium} (Debian package chromium), which this machine does not have.");
        var context = await _browser.NewContextAsync(new()
        {
            ViewportSize = new() { Width = width, Height = height },
            ColorScheme = dark ? ColorScheme.Dark : ColorScheme.Light,
            ReducedMotion = ReducedMotion.Reduce,
            Locale = "en-GB",
            TimezoneId = "UTC",
            BaseURL = Address.ToString(),
        });
        context.SetDefaultTimeout(120_000); // solves among them, on a machine that does other things too
        return new PageUnderTest(context, await context.NewPageAsync());
    }

    public async Task<JsonElement> Post(string path, string json)
    {
        using var content = new StringContent(json, Encoding.UTF8, "application/json");
        using var response = await _client.PostAsync(new Uri(Address, path), content);
        string text = await response.Content.ReadAsStringAsync();
        Assert.True(response.IsSuccessStatusCode, text);
        return JsonElement.Parse(text);
    }

    /// <summary>Removes what other tests brought in, in whatever order they came: the list of boards is then of the demo pair alone.</summary>
    public async Task RemoveOthers()
    {
        var solutions = await List("solutions");
        string[] kept = [Unbroken, Cut, .. solutions.Where(solution => Id(solution) == Unbroken || Id(solution) == Cut).Select(solution => solution.GetProperty("layout").GetString()!)];
        foreach (var (kind, entries) in new[] { ("solutions", solutions), ("layouts", await List("layouts")) })
        {
            foreach (string id in entries.Select(Id).Where(id => !kept.Contains(id)))
            {
                using var removed = await _client.DeleteAsync(new Uri(Address, $"/v1/{kind}/{id}"));
                Assert.True(removed.IsSuccessStatusCode, $"{kind} {id}: {removed.StatusCode}");
            }
        }

        async Task<JsonElement[]> List(string kind)
        {
            using var response = await _client.GetAsync(new Uri(Address, $"/v1/{kind}"));
            return [.. JsonElement.Parse(await response.Content.ReadAsStringAsync()).GetProperty(kind).EnumerateArray()];
        }

        static string Id(JsonElement entry) => entry.GetProperty("id").GetString()!;
    }

    public static string Fixture(params string[] path) => Path.Combine([Root, "fixtures", .. path]);

    public static string Root { get; } = FindRoot();

    private static string FindRoot()
    {
        for (var folder = new DirectoryInfo(AppContext.BaseDirectory); folder is not null; folder = folder.Parent)
            if (File.Exists(Path.Combine(folder.FullName, "HeatSpread.sln"))) return folder.FullName;
        throw new DirectoryNotFoundException("HeatSpread.sln is in no folder above the tests.");
    }

    private async Task<string> Solve(string layout)
    {
        string request = $$"""{ "layout": {{await File.ReadAllTextAsync(Fixture("boards", layout))}}, "conditions": {{await File.ReadAllTextAsync(Fixture("boards", "demo-conditions.json"))}}, "grid": { "pitchMm": 0.5 } }""";
        return (await Post("/v1/solutions", request)).GetProperty("id").GetString()!;
    }
}
