using System.Globalization;
using System.Net;
using System.Text;
using System.Text.Json;

namespace HeatSpread.Service.Tests;

public sealed class StudyTests(SharedService shared)
{
    private readonly HttpClient _client = shared.Client;

    [Fact]
    public async Task A_sweep_has_every_point_and_the_base_is_what_a_solution_says()
    {
        string layout = Boards.Plate("swept");
        var study = await Study(layout, """ "axes": [{ "quantity": "ambientCelsius", "values": [25, 60] }, { "quantity": "watts", "part": "U1", "from": 0.5, "to": 1.5, "count": 3 }] """);
        Assert.Equal(("sweep", "solved", 6), (study.GetProperty("kind").GetString(), study.GetProperty("state").GetString(), study.GetProperty("points").GetArrayLength()));
        Assert.Equal([25, 1.5], study.GetProperty("points")[2].GetProperty("at").EnumerateArray().Select(value => value.GetDouble()));
        Assert.All(study.GetProperty("points").EnumerateArray(), point => Assert.Equal("superposed", point.GetProperty("how").GetString()));
        Assert.Equal(2, study.GetProperty("work").GetProperty("solves").GetInt32());
        var solution = await _client.Solve(layout, Boards.Conditions.Replace("\"surfaces\"", "\"watts\": { \"U1\": 1.5 }, \"surfaces\"", StringComparison.Ordinal));
        var parts = solution.GetProperty("parts").EnumerateArray().Select(part => part.GetProperty("maxCelsius").GetDouble());
        Assert.All(parts.Zip(study.GetProperty("points")[2].GetProperty("partCelsius").EnumerateArray()), pair => Assert.Equal(pair.First, pair.Second.GetDouble(), 1e-4));
        Assert.Equal(solution.GetProperty("peak").GetProperty("celsius").GetDouble(), study.GetProperty("points")[2].GetProperty("peak").GetProperty("celsius").GetDouble(), 1e-4);
        Assert.Equal(solution.GetProperty("probes")[0].GetProperty("celsius").GetDouble(), study.GetProperty("points")[2].GetProperty("probeCelsius")[0].GetDouble(), 1e-4);

        string address = "/v1/studies/" + study.GetProperty("id").GetString();
        Assert.Equal(study.GetRawText(), (await _client.Get(address).Success()).GetRawText());
        Assert.Contains((await _client.Get("/v1/studies").Success()).GetProperty("studies").EnumerateArray(), item => item.GetProperty("id").GetString() == study.GetProperty("id").GetString());
        string[] table = Encoding.UTF8.GetString(await (await _client.Get(address + "/points.csv")).Bytes()).TrimEnd().Split("\r\n");
        Assert.Equal((7, "index,\"ambient, °C\",\"watts of U1, W\",\"peak, °C\",\"U1, °C\",\"L5, °C\",\"TP1, °C\",pass,how"), (table.Length, table[0]));
        Assert.Equal(HttpStatusCode.NoContent, (await _client.Delete(address)).StatusCode);
        Assert.Equal(HttpStatusCode.NotFound, (await _client.Get(address)).StatusCode);
    }

    [Fact]
    public async Task A_sample_tells_percentiles_risk_and_which_input_does_it()
    {
        var study = await Study(Boards.Plate("sampled"), """
            "sample": { "count": 30, "seed": 3 },
            "axes": [{ "quantity": "watts", "part": "U1", "distribution": { "normal": { "mean": 1.2, "standardDeviation": 0.1 } } }, { "quantity": "conductivity", "material": "fr4", "distribution": { "uniform": { "least": 0.95, "most": 1.05 } } }]
            """);
        Assert.Equal(30, study.GetProperty("points").GetArrayLength());
        var part = study.GetProperty("tolerance").GetProperty("parts")[0];
        double p5 = part.GetProperty("p5Celsius").GetDouble(), p50 = part.GetProperty("p50Celsius").GetDouble(), p95 = part.GetProperty("p95Celsius").GetDouble();
        Assert.True(p5 < p50 && p50 < p95);
        Assert.Equal(0, part.GetProperty("exceedance").GetProperty("probability").GetDouble());
        Assert.InRange(part.GetProperty("exceedance").GetProperty("interval95")[1].GetDouble(), 0.01, 0.2); // none of 30
        var inputs = part.GetProperty("inputs").EnumerateArray().ToArray();
        Assert.Equal(1, inputs.Sum(input => input.GetProperty("share").GetDouble()), 1e-9);
        Assert.InRange(inputs[0].GetProperty("share").GetDouble(), 0.95, 1);
        foreach (var input in inputs) Assert.Equal(input.GetProperty("share").GetDouble(), input.GetProperty("sampledShare").GetDouble(), 0.12); // the sample is small
        Assert.Contains("watts of U1", study.GetProperty("tolerance").GetProperty("text")[0].GetString(), StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_derating_names_the_limit_and_is_drawn()
    {
        var study = await Study(Boards.Plate("derated"), """ "derating": { "ambientCelsius": { "from": 25, "to": 145, "count": 7 } } """);
        var curves = study.GetProperty("derating").GetProperty("curves").EnumerateArray().ToArray();
        Assert.Equal(["watts of U1", "watts of L5", "all watts"], curves.Select(curve => curve.GetProperty("label").GetString()));
        var points = curves[0].GetProperty("points").EnumerateArray().ToArray();
        Assert.Equal("U1", points[0].GetProperty("limitedBy").GetString());
        double[] allowed = [.. points.Where(point => point.GetProperty("outcome").GetString() == "limited").Select(point => point.GetProperty("allowed").GetDouble())];
        Assert.All(allowed.Zip(allowed.Skip(1)), pair => Assert.True(pair.First > pair.Second));
        // a solution with what is allowed has the part at its limit
        string conditions = Boards.Conditions.Replace("\"surfaces\"", string.Create(CultureInfo.InvariantCulture, $$"""{{"\"watts\""}}: { "U1": {{allowed[0]}} }, "surfaces" """), StringComparison.Ordinal);
        Assert.Equal(150, (await _client.Solve(Boards.Plate("derated"), conditions)).GetProperty("parts")[0].GetProperty("maxCelsius").GetDouble(), 1e-3);

        using var png = await _client.Get(curves[0].GetProperty("image").GetString()!);
        Assert.Equal("image/png", png.Content.Headers.ContentType?.MediaType);
        using var svg = await _client.Get(curves[0].GetProperty("drawing").GetString()! + "?width=600");
        Assert.Contains("<svg", Encoding.UTF8.GetString(await svg.Bytes()), StringComparison.Ordinal);
        string table = Encoding.UTF8.GetString(await (await _client.Get(curves[0].GetProperty("table").GetString()!)).Bytes());
        Assert.StartsWith("\"ambient, °C\",\"allowed, W\",limited by,", table, StringComparison.Ordinal);
        Assert.Equal(HttpStatusCode.NotFound, (await _client.Get(curves[0].GetProperty("image").GetString()!.Replace("/0.", "/9.", StringComparison.Ordinal))).StatusCode);
    }

    [Fact]
    public async Task A_plan_tells_how_many_vias_or_that_none_are_enough()
    {
        const string ask = """ "plan": { "vary": { "quantity": "viaCount", "via": 0 }, "part": "U1", "limitCelsius": LIMIT, "least": 1, "most": 60 } """;
        var trial = (await Study(Boards.Plate("planned"), ask.Replace("LIMIT", "1", StringComparison.Ordinal))).GetProperty("plan");
        Assert.Equal("cannot", trial.GetProperty("outcome").GetString());
        double best = trial.GetProperty("bestCelsius").GetDouble(), worst = trial.GetProperty("trials")[0].GetProperty("celsius").GetDouble();
        Assert.InRange(trial.GetProperty("asymptoteCelsius").GetDouble(), best - (worst - best), best);
        var met = (await Study(Boards.Plate("planned"), ask.Replace("LIMIT", string.Create(CultureInfo.InvariantCulture, $"{(best + worst) / 2}"), StringComparison.Ordinal))).GetProperty("plan");
        Assert.Equal("met", met.GetProperty("outcome").GetString());
        var trials = met.GetProperty("trials").EnumerateArray().ToDictionary(each => each.GetProperty("value").GetDouble(), each => each.GetProperty("celsius").GetDouble());
        double value = met.GetProperty("value").GetDouble();
        Assert.Equal(trials[value], met.GetProperty("celsius").GetDouble());
        Assert.True(trials[value] <= (best + worst) / 2 && trials[value - 1] > (best + worst) / 2); // one fewer is not enough
    }

    [Theory]
    [InlineData("""{ "layout": "nothing", "conditions": {}, "axes": [] }""", "/axes", "/conditions", "/layout")]
    [InlineData("""{ "axes": [{ "quantity": "ambientCelsius", "values": [20, -300] }, { "quantity": "watts", "part": "U9", "values": [1] }], "combine": "all", "extra": 1 }""", "/axes/1/part", "/combine", "/extra")]
    [InlineData("""{ "axes": [{ "quantity": "ambientCelsius", "values": [20, -300] }, { "quantity": "platingUm", "via": 0, "values": [20, 900, -1] }] }""", "/axes/0/values/1", "/axes/1/values/1", "/axes/1/values/2")]
    [InlineData("""{ "axes": [{ "quantity": "ambientCelsius", "from": 0, "to": 80, "count": 200 }, { "quantity": "watts", "part": "U1", "from": 0, "to": 1, "count": 200 }] }""", "/axes")]
    [InlineData("""{ "sample": { "count": 1 }, "axes": [{ "quantity": "ambientCelsius", "values": [20] }] }""", "/axes/0", "/axes/0/values", "/sample/count")]
    [InlineData("""{ "derating": { "quantities": [{ "quantity": "outputAmps" }, { "quantity": "watts", "part": "X" }] }, "sample": {} }""", "/derating", "/derating/quantities/0/quantity", "/derating/quantities/1/part", "/sample")]
    [InlineData("""{ "plan": { "vary": { "quantity": "drill", "via": 1 }, "part": "L5", "most": 0.1 } }""", "/plan", "/plan/most")]
    [InlineData("""{ "plan": {}, "derating": {} }""", "")]
    public async Task Every_fault_of_a_request_is_told(string json, params string[] pointers)
    {
        if (!json.Contains("\"layout\"", StringComparison.Ordinal)) json = $$"""{ "layout": {{Boards.Plate("faulty")}}, "conditions": {{Boards.Conditions}}, {{json[1..]}}""";
        using var response = await _client.PostJson("/v1/studies", json);
        Assert.Equal(HttpStatusCode.UnprocessableEntity, response.StatusCode);
        var problem = await response.Body();
        Assert.Equal("urn:heatspread:problem:invalid-study-request", problem.GetProperty("type").GetString());
        string[] told = [.. problem.GetProperty("errors").EnumerateArray().Select(error => error.GetProperty("pointer").GetString()!).Distinct()];
        if (pointers.Contains("/conditions")) told = [.. told.Select(pointer => pointer.StartsWith("/conditions", StringComparison.Ordinal) ? "/conditions" : pointer).Distinct()];
        Assert.Equal(pointers.Order(StringComparer.Ordinal), told.Order(StringComparer.Ordinal));
    }

    [Fact]
    public async Task What_is_known_can_be_read_while_it_runs_and_is_not_done_again_after_a_cancel_or_a_restart()
    {
        using var folder = new TemporaryFolder();
        string request = $$"""{ "layout": {{Boards.Plate("long")}}, "conditions": {{Boards.StillAir}}, "grid": { "pitchMm": 0.4 }, "axes": [{ "quantity": "ambientCelsius", "from": 20, "to": 80, "count": 40 }] }""";
        string address;
        int known;
        await using (var first = new ServiceUnderTest(folder.Path))
        {
            using var client = first.CreateClient();
            address = await Post(client, request);
            known = await Known(client, address);
            await IsNoSolution(client, address["/v1/studies/".Length..]);
            (await client.Delete(address)).Dispose(); // cancels; what is known stays
            var cancelled = await Until(client, address, study => study.GetProperty("state").GetString() == "cancelled");
            Assert.InRange(cancelled.GetProperty("points").GetArrayLength(), known, 39);
            Assert.Equal("urn:heatspread:problem:cancelled", cancelled.GetProperty("problem").GetProperty("type").GetString());
            await IsNoSolution(client, address["/v1/studies/".Length..]);
            known = cancelled.GetProperty("points").GetArrayLength();
            Assert.Equal(address, await Post(client, request)); // goes on
            await Until(client, address, study => study.GetProperty("points").GetArrayLength() > known);
        }
        await using var second = new ServiceUnderTest(folder.Path); // takes it up by itself
        using var again = second.CreateClient();
        var done = await Until(again, address, study => study.GetProperty("state").GetString() is not ("queued" or "running"));
        Assert.Equal("solved", done.GetProperty("state").GetString());
        Assert.Equal(Enumerable.Range(0, 40), done.GetProperty("points").EnumerateArray().Select(point => point.GetProperty("index").GetInt32()));
        Assert.InRange(done.GetProperty("work").GetProperty("solves").GetInt32(), 1, 41 - known); // of the last run: the base, and what was not known
        while (Directory.GetDirectories(Path.Combine(folder.Path, "study-parts")).Length > 0) await Task.Delay(20, TestContext.Current.CancellationToken);
    }

    /// <summary>A study that runs or has ended is not to be had, watched or cancelled as if it were a solution.</summary>
    private static async Task IsNoSolution(HttpClient client, string id)
    {
        using var read = await client.Get("/v1/solutions/" + id);
        using var watched = await client.Get($"/v1/solutions/{id}/events");
        using var removed = await client.Delete("/v1/solutions/" + id);
        Assert.All([read, watched, removed], response => Assert.Equal(HttpStatusCode.NotFound, response.StatusCode));
    }

    private static async Task<string> Post(HttpClient client, string request)
    {
        using var message = new HttpRequestMessage(HttpMethod.Post, "/v1/studies") { Content = Requests.Json(request), Headers = { { "Prefer", "respond-async" } } };
        using var response = await client.SendAsync(message, TestContext.Current.CancellationToken);
        Assert.Equal(HttpStatusCode.Accepted, response.StatusCode);
        return response.Headers.Location!.ToString();
    }

    private static async Task<int> Known(HttpClient client, string address) =>
        (await Until(client, address, study => study.GetProperty("points").GetArrayLength() > 0)).GetProperty("points").GetArrayLength();

    private static async Task<JsonElement> Until(HttpClient client, string address, Func<JsonElement, bool> isSo)
    {
        JsonElement study;
        while (!isSo(study = await client.Get(address).Success())) await Task.Delay(50, TestContext.Current.CancellationToken);
        return study;
    }

    private Task<JsonElement> Study(string layout, string ask) =>
        _client.PostJson("/v1/studies", $$"""{ "layout": {{layout}}, "conditions": {{Boards.Conditions}}, "grid": { "pitchMm": 0.5 }, {{ask}} }""").Success();
}
