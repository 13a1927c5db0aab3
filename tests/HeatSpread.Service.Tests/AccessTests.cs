using System.Globalization;
using System.Net;
using System.Net.Http.Headers;
using System.Text;
using HeatSpread.Service.Access;

namespace HeatSpread.Service.Tests;

public sealed class AccessTests : IDisposable
{
    private readonly TemporaryFolder _folder = new();

    [Fact]
    public async Task One_tenant_finds_nothing_of_another_s_even_by_the_digest()
    {
        await using var service = new ServiceUnderTest(_folder.Path, ("RequireKeys", "true"));
        using var one = Client(service, Key("one", Scope.Read | Scope.Write));
        using var other = Client(service, Key("other", Scope.Read | Scope.Write));
        var solution = await one.Solve(Boards.Plate("secret"));
        string layout = solution.GetProperty("layout").GetString()!, id = solution.GetProperty("id").GetString()!;
        using (var picture = await one.Get($"/v1/solutions/{id}/layers/L1.png"))
        {
            Assert.Equal(HttpStatusCode.OK, picture.StatusCode);
            Assert.True(picture.Headers.CacheControl!.Private); // a cache between must not hand it to the other
        }

        foreach (string address in (string[])[$"/v1/layouts/{layout}", $"/v1/layouts/{layout}/layers/L1.png", $"/v1/solutions/{id}", $"/v1/solutions/{id}/events", $"/v1/solutions/{id}/layers/L1.png", $"/v1/solutions/{id}/layers/L1.npy", $"/v1/solutions/{id}/views/top.png"])
        {
            using var response = await other.Get(address);
            Assert.Equal(HttpStatusCode.NotFound, response.StatusCode);
            if (address.StartsWith("/v1/solutions", StringComparison.Ordinal) || address.EndsWith(layout, StringComparison.Ordinal))
            {
                using var removal = await other.Delete(address);
                Assert.Contains(removal.StatusCode, (HttpStatusCode[])[HttpStatusCode.NotFound, HttpStatusCode.MethodNotAllowed]);
            }
        }
        Assert.Empty((await other.Get("/v1/layouts").Success()).GetProperty("layouts").EnumerateArray());
        Assert.Empty((await other.Get("/v1/solutions").Success()).GetProperty("solutions").EnumerateArray());
        using (var byDigest = await other.PostJson("/v1/solutions", Boards.Request($"\"{layout}\""))) Assert.Equal(HttpStatusCode.UnprocessableEntity, byDigest.StatusCode);
        using (var isNew = await other.PostJson("/v1/layouts", Boards.Plate("secret"))) Assert.Equal(HttpStatusCode.Created, isNew.StatusCode); // 200 would tell that someone has it

        // Not warmed either: the other's answer is its own solve.
        var again = await other.Solve(Boards.Plate("secret"));
        Assert.Equal(id, again.GetProperty("id").GetString());
        Assert.NotEqual(solution.GetProperty("seconds").GetRawText(), again.GetProperty("seconds").GetRawText());
    }

    [Fact]
    public async Task Comparisons_edits_dashboards_and_analyses_of_one_tenant_are_nothing_to_another()
    {
        await using var service = new ServiceUnderTest(_folder.Path, ("RequireKeys", "true"));
        using var one = Client(service, Key("one", Scope.Read | Scope.Write), followsRedirects: false);
        using var other = Client(service, Key("other", Scope.Read | Scope.Write), followsRedirects: false);
        var solutions = new[] { await one.Solve(Boards.Plate("hidden board")), await one.Solve(Boards.Plate("hidden board", watts: 2)) };
        string[] ids = [.. solutions.Select(solution => solution.GetProperty("id").GetString()!)];
        string pair = $$"""{ "baseline": "{{ids[0]}}", "candidates": ["{{ids[1]}}"] }""", layout = solutions[0].GetProperty("layout").GetString()!;
        string comparison = (await one.PostJson("/v1/comparisons", pair).Success()).GetProperty("id").GetString()!;
        string[] addresses =
        [
            $"/v1/comparisons/{comparison}", $"/v1/comparisons/{comparison}/candidates/{ids[1]}/layers/L1.png", $"/v1/comparisons/{comparison}/candidates/{ids[1]}/layers/L1.npy",
            $"/embed/solutions/{ids[0]}", "/embed/boards/hidden%20board/latest", "/v1/boards/hidden%20board/latest", "/v1/boards/hidden%20board/latest/layers/L1.png",
            $"/v1/solutions/{ids[0]}/influence", $"/v1/solutions/{ids[0]}/layers/L1/benefit.png?part=U1",
        ];
        foreach (string address in addresses)
        {
            using (var own = await one.Get(address)) Assert.True(own.StatusCode is HttpStatusCode.OK or HttpStatusCode.TemporaryRedirect, $"{address}: {own.StatusCode}");
            using var response = await other.Get(address);
            Assert.True(response.StatusCode == HttpStatusCode.NotFound, $"{address}: {response.StatusCode}");
        }
        using (var made = await other.PostJson("/v1/comparisons", pair)) Assert.Equal(HttpStatusCode.UnprocessableEntity, made.StatusCode);
        using (var edited = await other.PostJson($"/v1/layouts/{layout}/edits", """{ "edits": [] }""")) Assert.Equal(HttpStatusCode.NotFound, edited.StatusCode);
        using (var removed = await other.Delete($"/v1/comparisons/{comparison}")) Assert.Equal(HttpStatusCode.NotFound, removed.StatusCode);
        Assert.Empty((await other.Get("/v1/comparisons").Success()).GetProperty("comparisons").EnumerateArray());
    }

    [Fact]
    public async Task Without_a_key_or_with_a_wrong_or_old_one_nothing_is_answered()
    {
        await using var service = new ServiceUnderTest(_folder.Path, ("RequireKeys", "true"));
        string good = Key("one", Scope.Read), old = Key("one", Scope.Read, expires: DateTimeOffset.UtcNow.AddSeconds(-1));
        string wrong = good[..^1] + (good[^1] == '0' ? '1' : '0');
        foreach (string? key in (string?[])[null, wrong, old, "hs_0123456789abcdef_" + new string('0', 64), "nonsense", ""])
        {
            using var client = Client(service, key);
            using var response = await client.Get("/v1/layouts");
            Assert.Equal(HttpStatusCode.Unauthorized, response.StatusCode);
            Assert.Equal("urn:heatspread:problem:unauthorized", (await response.Body()).GetProperty("type").GetString());
            Assert.Equal(["Bearer", "Basic"], response.Headers.WwwAuthenticate.Select(h => h.Scheme));
        }
        using var nobody = Client(service, null);
        foreach (string address in (string[])["/health/live", "/openapi/v1.json", "/", "/js/board.js"])
        {
            using var open = await nobody.Get(address);
            Assert.Equal(HttpStatusCode.OK, open.StatusCode);
        }
        using var browser = service.CreateClient();
        browser.DefaultRequestHeaders.Authorization = new AuthenticationHeaderValue("Basic", Convert.ToBase64String(Encoding.UTF8.GetBytes("anyone:" + good)));
        (await browser.Get("/v1/layouts").Success()).GetProperty("layouts");
    }

    [Fact]
    public async Task A_key_does_what_its_scopes_say_until_it_is_removed_and_the_audit_log_tells_of_it()
    {
        await using var service = new ServiceUnderTest(_folder.Path, ("RequireKeys", "true"));
        using var reader = Client(service, Key("one", Scope.Read));
        using var administrator = Client(service, Key("one", Scope.Admin));
        await AssertForbidden(reader.PostJson("/v1/layouts", Boards.Plate("not allowed")));
        await AssertForbidden(reader.Get("/v1/keys"));
        await AssertForbidden(reader.Get("/metrics"));
        await AssertForbidden(administrator.Get("/v1/layouts"));
        using (var metrics = await administrator.Get("/metrics")) Assert.Equal(HttpStatusCode.OK, metrics.StatusCode);

        using var faulty = await administrator.PostJson("/v1/keys", """{ "name": "", "tenant": "No Such", "scopes": ["all"], "expires": "2001-01-01", "colour": 1 }""");
        Assert.Equal(5, (await faulty.Body()).GetProperty("errors").GetArrayLength());
        var made = await administrator.PostJson("/v1/keys", """{ "name": "script", "tenant": "one", "scopes": ["read", "write"], "expires": null }""").Success();
        using var script = Client(service, made.GetProperty("key").GetString());
        string layout = await script.Take(Boards.Plate("audited"));
        string id = made.GetProperty("details").GetProperty("id").GetString()!;
        Assert.DoesNotContain(made.GetProperty("key").GetString()![^64..], await File.ReadAllTextAsync(Path.Combine(_folder.Path, "keys.json"), TestContext.Current.CancellationToken), StringComparison.Ordinal);
        (await administrator.Delete($"/v1/keys/{id}")).Dispose();
        using (var refused = await script.Get("/v1/layouts")) Assert.Equal(HttpStatusCode.Unauthorized, refused.StatusCode);

        using var audit = await administrator.Get("/v1/audit?day=" + DateTime.UtcNow.ToString("yyyy-MM-dd", CultureInfo.InvariantCulture));
        string[] lines = (await audit.Content.ReadAsStringAsync(TestContext.Current.CancellationToken)).Split('\n');
        Assert.Contains(lines, l => l.Contains("\"keyName\":\"script\"", StringComparison.Ordinal) && l.Contains($"/v1/layouts/{layout}", StringComparison.Ordinal) && l.Contains("\"status\":201", StringComparison.Ordinal));
        Assert.Contains(lines, l => l.Contains("\"status\":403", StringComparison.Ordinal) && l.Contains("\"method\":\"POST\"", StringComparison.Ordinal));
        Assert.Contains(lines, l => l.Contains("\"method\":\"DELETE\"", StringComparison.Ordinal) && l.Contains(id, StringComparison.Ordinal));
    }

    [Theory]
    [InlineData("http://0.0.0.0:0", false)]
    [InlineData("http://[::]:0", false)]
    [InlineData("http://*:0", false)]
    [InlineData("http://127.0.0.1:0", true)]
    [InlineData("http://0.0.0.0:0", true, "OpenToNetwork")]
    [InlineData("http://0.0.0.0:0", true, "RequireKeys")]
    public async Task Open_to_all_it_starts_on_loopback_addresses_only(string address, bool starts, string? setting = null)
    {
        string[] arguments = [$"--HeatSpread:DataFolder={_folder.Path}", "--urls=" + address, "--Logging:LogLevel:Default=None", .. setting is null ? Array.Empty<string>() : [$"--HeatSpread:{setting}=true"]];
        await using var app = ServiceHost.Build(arguments);
        var start = app.StartAsync(TestContext.Current.CancellationToken);
        if (starts) await start;
        else Assert.Contains("RequireKeys", (await Assert.ThrowsAsync<OpenAddressException>(() => start)).Message, StringComparison.Ordinal);
        await app.StopAsync(TestContext.Current.CancellationToken);
    }

    [Fact]
    public async Task Only_listed_sites_may_ask_from_a_browser_and_no_other_may_change_anything()
    {
        await using var service = new ServiceUnderTest(_folder.Path, ("CorsOrigins:0", "https://dashboard.example"));
        using var client = service.CreateClient();
        using (var listed = await Send("https://dashboard.example", HttpMethod.Get)) Assert.Equal("https://dashboard.example", Assert.Single(listed.Headers.GetValues("Access-Control-Allow-Origin")));
        using (var strange = await Send("https://strange.example", HttpMethod.Get)) Assert.False(strange.Headers.Contains("Access-Control-Allow-Origin"));
        using (var change = await Send("https://strange.example", HttpMethod.Post)) Assert.Equal(HttpStatusCode.Forbidden, change.StatusCode);
        using (var change = await Send("https://dashboard.example", HttpMethod.Post)) Assert.Equal(HttpStatusCode.Created, change.StatusCode);

        Task<HttpResponseMessage> Send(string origin, HttpMethod method)
        {
            var request = new HttpRequestMessage(method, "/v1/layouts") { Headers = { { "Origin", origin }, { "Sec-Fetch-Site", "cross-site" } } };
            if (method == HttpMethod.Post) request.Content = Requests.Json(Boards.Plate("cors"));
            return client.SendAsync(request, TestContext.Current.CancellationToken);
        }
    }

    [Fact]
    public void The_command_makes_lists_and_removes_keys()
    {
        var keys = new KeyFile(_folder.Path);
        Assert.Equal(0, Run(out string text, "add", "first", "--tenant", "one", "--scopes", "read,admin", "--days", "30"));
        var (id, secret) = ApiKey.Split(text.Trim())!.Value;
        Assert.True(ApiKey.Matches(new KeyFile(_folder.Path).Find(id), secret));
        Assert.False(ApiKey.Matches(null, secret));
        Assert.Equal(0, Run(out string list, "list"));
        Assert.Contains("first", list, StringComparison.Ordinal);
        Assert.Equal(0, Run(out _, "remove", id));
        Assert.Equal(1, Run(out _, "remove", id));
        Assert.Equal(2, Run(out _, "add", "x", "--tenant", "../other"));
        Assert.Equal(2, Run(out _, "add", "x", "--tenant", "one", "--scopes", "everything"));
        Assert.Empty(new KeyFile(_folder.Path).All);

        int Run(out string output, params string[] arguments)
        {
            using var writer = new StringWriter();
            int code = KeyCommand.Run(arguments, keys, DateTimeOffset.UtcNow, writer);
            output = writer.ToString();
            return code;
        }
    }

    public void Dispose() => _folder.Dispose();

    private string Key(string tenant, Scope scopes, DateTimeOffset? expires = null)
    {
        var (key, text) = ApiKey.Make("test", tenant, scopes, DateTimeOffset.UtcNow, expires);
        new KeyFile(_folder.Path).Add(key);
        return text;
    }

    private static HttpClient Client(ServiceUnderTest service, string? key, bool followsRedirects = true)
    {
        var client = service.CreateClient(new() { AllowAutoRedirect = followsRedirects });
        if (key is not null) client.DefaultRequestHeaders.TryAddWithoutValidation("Authorization", "Bearer " + key);
        return client;
    }

    private static async Task AssertForbidden(Task<HttpResponseMessage> pending)
    {
        using var response = await pending;
        Assert.Equal(HttpStatusCode.Forbidden, response.StatusCode);
        Assert.Equal("urn:heatspread:problem:forbidden", (await response.Body()).GetProperty("type").GetString());
    }
}
