using System.Net;
using System.Text.Json;

namespace HeatSpread.Service.Tests;

public sealed class OperationTests(SharedService service)
{
    private readonly HttpClient _client = service.Client;

    [Fact]
    public async Task It_lives_and_becomes_ready()
    {
        Assert.Equal("live", (await _client.Get("/health/live").Success()).GetProperty("status").GetString());
        while (true)
        {
            using var ready = await _client.Get("/health/ready");
            var body = await ready.Body();
            if (ready.StatusCode == HttpStatusCode.OK)
            {
                Assert.Equal("ready", body.GetProperty("status").GetString());
                return;
            }
            Assert.Equal(HttpStatusCode.ServiceUnavailable, ready.StatusCode);
            Assert.DoesNotContain("failed", body.GetRawText(), StringComparison.Ordinal);
            await Task.Delay(20, TestContext.Current.CancellationToken);
        }
    }

    /// <summary>RFC 9110, 9.3.2: HEAD is GET without the body.</summary>
    [Theory]
    [InlineData("/health/live", HttpStatusCode.OK)]
    [InlineData("/v1/materials", HttpStatusCode.OK)]
    [InlineData("/v1/solutions/unknown", HttpStatusCode.NotFound)]
    public async Task What_can_be_had_can_be_asked_for_by_HEAD(string address, HttpStatusCode status)
    {
        using var request = new HttpRequestMessage(HttpMethod.Head, address);
        using var head = await _client.SendAsync(request, TestContext.Current.CancellationToken);
        using var get = await _client.Get(address);
        Assert.Equal(status, head.StatusCode);
        Assert.Equal(get.Content.Headers.ContentType, head.Content.Headers.ContentType);
    }

    [Fact]
    public async Task Metrics_count_solves()
    {
        await _client.Solve(Boards.Plate("metrics"));
        using var response = await _client.Get("/metrics");
        string text = await response.Content.ReadAsStringAsync(TestContext.Current.CancellationToken);
        Assert.Matches(@"(?m)^heatspread_solves_total\{[^}]*outcome=""solved""[^}]*\} [1-9]", text);
        Assert.Contains("heatspread_queue_waiting", text, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Materials_have_a_range_and_a_source()
    {
        var materials = (await _client.Get("/v1/materials").Success()).GetProperty("materials").EnumerateArray().ToArray();
        Assert.Contains(materials, m => m.GetProperty("name").GetString() == "fr4");
        Assert.All(materials, m =>
        {
            Assert.True(m.GetProperty("conductivity").GetProperty("inPlane").GetDouble() > 0);
            Assert.True(m.GetProperty("conductivity").GetProperty("through").GetDouble() > 0);
            Assert.NotEmpty(m.GetProperty("range").GetString()!);
            Assert.NotEmpty(m.GetProperty("source").GetString()!);
        });
    }

    [Fact]
    public async Task The_API_description_is_the_approved_one() => Approved.Json("openapi.json", await _client.Get("/openapi/v1.json").Success());

    [Fact]
    public async Task The_API_description_has_no_reference_that_leads_nowhere()
    {
        var description = await _client.Get("/openapi/v1.json").Success();
        var schemas = description.GetProperty("components").GetProperty("schemas").EnumerateObject().Select(s => "#/components/schemas/" + s.Name).ToHashSet();
        var references = References(description).ToArray();
        Assert.NotEmpty(references);
        Assert.All(references, r => Assert.Contains(r, schemas));
    }

    [Fact]
    public async Task The_page_needs_nothing_from_elsewhere()
    {
        using var page = await _client.Get("/");
        Assert.Equal("text/html", page.Content.Headers.ContentType?.MediaType);
        string folder = Path.Combine(AppContext.BaseDirectory, "wwwroot");
        string[] files = [.. Directory.GetFiles(folder, "*", SearchOption.AllDirectories).Select(f => "/" + Path.GetRelativePath(folder, f).Replace('\\', '/'))];
        Assert.Contains("/js/board.js", files);
        foreach (string file in files.Append("/"))
        {
            using var response = await _client.Get(file);
            Assert.Equal(HttpStatusCode.OK, response.StatusCode);
            string text = await response.Content.ReadAsStringAsync(TestContext.Current.CancellationToken);
            Assert.DoesNotMatch(@"(src|href|url\(|from|import|fetch)\W{0,4}(https?:)?//", text.Replace("http://www.w3.org/2000/svg", "", StringComparison.Ordinal));
        }
        Assert.Contains("default-src 'self'", Assert.Single(page.Headers.GetValues("Content-Security-Policy")), StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("MaximumUnknowns", "5")]
    [InlineData("ConcurrentSolves", "0")]
    [InlineData("QueueLength", "many")]
    [InlineData("DataFolder", "")]
    [InlineData("Colour", "green")]
    [InlineData("Layout:Vertices", "0")]
    [InlineData("Import:MaxCompressionRatio", "-1")]
    public async Task A_bad_setting_stops_the_start(string key, string value)
    {
        using var folder = new TemporaryFolder();
        string[] settings = [$"--HeatSpread:DataFolder={folder.Path}", $"--HeatSpread:{key}={value}", "--urls=http://127.0.0.1:0"];
        await Assert.ThrowsAnyAsync<Exception>(async () =>
        {
            await using var app = ServiceHost.Build(settings);
            await app.StartAsync(TestContext.Current.CancellationToken);
        });
    }

    private static IEnumerable<string> References(JsonElement value) => value.ValueKind switch
    {
        JsonValueKind.Object => value.EnumerateObject().SelectMany(m => m.Name == "$ref" ? [m.Value.GetString()!] : References(m.Value)),
        JsonValueKind.Array => value.EnumerateArray().SelectMany(References),
        _ => [],
    };
}
