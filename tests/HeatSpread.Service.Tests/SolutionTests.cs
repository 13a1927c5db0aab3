using System.Net;
using System.Text.Json;

namespace HeatSpread.Service.Tests;

public sealed class SolutionTests(SharedService service)
{
    private readonly HttpClient _client = service.Client;

    [Fact]
    public async Task A_solution_has_every_key_of_the_contract()
    {
        var solution = await _client.Solve(Boards.Plate("keys"));
        Assert.Equal("solved", solution.GetProperty("state").GetString());
        AssertKeys(solution, "id", "layout", "state", "verdict", "peak", "layers", "parts", "probes", "hotspots", "findings", "heat", "accuracy", "seconds");
        AssertKeys(solution.GetProperty("verdict"), "pass", "reasons");
        AssertKeys(solution.GetProperty("peak"), "celsius", "layer", "at", "net", "gridErrorKelvin");
        AssertKeys(solution.GetProperty("layers")[0], "name", "maxCelsius", "minCelsius", "meanCelsius", "copperShare", "grid", "image");
        AssertKeys(solution.GetProperty("layers")[0].GetProperty("grid"), "origin", "pitchMm", "columns", "rows");
        AssertKeys(solution.GetProperty("parts")[0], "id", "watts", "maxCelsius", "gridErrorKelvin", "limitCelsius", "marginKelvin", "nodes", "terminals");
        AssertKeys(solution.GetProperty("parts")[0].GetProperty("nodes"), "junction", "case");
        AssertKeys(solution.GetProperty("parts")[0].GetProperty("terminals")[0], "name", "celsius", "watts");
        AssertKeys(solution.GetProperty("probes")[0], "name", "celsius", "gridErrorKelvin");
        AssertKeys(solution.GetProperty("hotspots")[0], "rank", "celsius", "layer", "at", "net", "part");
        AssertKeys(solution.GetProperty("heat"), "dissipatedWatts", "topWatts", "bottomWatts", "edgesWatts", "contactsWatts", "partsWatts", "imbalanceWatts");
        AssertKeys(solution.GetProperty("accuracy"), "pitchMm", "unknowns", "iterations", "relativeResidual", "gridErrorKelvin");
        AssertKeys(solution.GetProperty("seconds"), "raster", "assemble", "solve", "total");
    }

    [Fact]
    public async Task The_numbers_of_a_solution_agree_with_each_other()
    {
        var solution = await _client.Solve(Boards.Plate("numbers"));
        var heat = solution.GetProperty("heat");
        Assert.Equal(1.6, heat.GetProperty("dissipatedWatts").GetDouble(), 12);
        Assert.InRange(Math.Abs(heat.GetProperty("imbalanceWatts").GetDouble()), 0, 1.6e-6);
        var grid = solution.GetProperty("layers")[0].GetProperty("grid");
        Assert.Equal((80, 60), (grid.GetProperty("columns").GetInt32(), grid.GetProperty("rows").GetInt32()));
        Assert.Equal(0.5, solution.GetProperty("accuracy").GetProperty("pitchMm").GetDouble(), 12);
        var part = solution.GetProperty("parts")[0];
        Assert.Equal(part.GetProperty("nodes").GetProperty("junction").GetDouble(), part.GetProperty("maxCelsius").GetDouble());
        Assert.Equal(150 - part.GetProperty("maxCelsius").GetDouble(), part.GetProperty("marginKelvin").GetDouble(), 9);
        double[] at = [.. solution.GetProperty("peak").GetProperty("at").EnumerateArray().Select(v => v.GetDouble())];
        Assert.InRange(at[0], 0, 40);
        Assert.InRange(at[1], 0, 30);
        Assert.InRange(solution.GetProperty("peak").GetProperty("celsius").GetDouble(), solution.GetProperty("layers")[0].GetProperty("maxCelsius").GetDouble(), 200);
    }

    [Fact]
    public async Task Places_are_in_the_unit_of_the_layout_and_the_grid_is_in_mm()
    {
        string inches = Boards.Plate("inches").Replace("\"unit\": \"mm\"", "\"unit\": \"inch\"", StringComparison.Ordinal);
        string scaled = System.Text.RegularExpressions.Regex.Replace(inches, """("(coordinates|origin|pitch|at|drill)": )([\[\]\d., ]+)""", m =>
            m.Groups[1].Value + System.Text.RegularExpressions.Regex.Replace(m.Groups[3].Value, @"\d+(\.\d+)?", n => (double.Parse(n.Value, System.Globalization.CultureInfo.InvariantCulture) / 25.4).ToString("R", System.Globalization.CultureInfo.InvariantCulture)));
        var metric = await _client.Solve(Boards.Plate("inches"));
        var imperial = await _client.Solve(scaled);
        double[] Numbers(JsonElement array) => [.. array.EnumerateArray().Select(v => v.GetDouble())];
        Assert.Equal(Numbers(metric.GetProperty("peak").GetProperty("at"))[0] / 25.4, Numbers(imperial.GetProperty("peak").GetProperty("at"))[0], 6);
        Assert.Equal(0.5, Numbers(imperial.GetProperty("layers")[0].GetProperty("grid").GetProperty("pitchMm"))[0], 9);
        Assert.Equal(metric.GetProperty("peak").GetProperty("celsius").GetDouble(), imperial.GetProperty("peak").GetProperty("celsius").GetDouble(), 3);
    }

    [Fact]
    public async Task The_same_request_again_is_answered_from_the_store_by_id_or_by_whole_layout()
    {
        string id = await _client.Take(Boards.Plate("stored"));
        var first = await _client.Solve($"\"{id}\"");
        var second = await _client.Solve(Boards.Plate("stored"), Boards.Conditions.Replace(" ", "", StringComparison.Ordinal).Replace("12", "1.2e1", StringComparison.Ordinal));
        Assert.Equal(first.GetRawText(), second.GetRawText()); // the seconds too: it was not solved again
        Assert.Equal(id, second.GetProperty("layout").GetString());
        var other = await _client.Solve($"\"{id}\"", grid: """{ "pitchMm": 1 }""");
        Assert.NotEqual(first.GetProperty("id").GetString(), other.GetProperty("id").GetString());
    }

    [Fact]
    public async Task A_solution_is_read_listed_and_removed()
    {
        var solution = await _client.Solve(Boards.Plate("life"));
        string id = solution.GetProperty("id").GetString()!, layout = solution.GetProperty("layout").GetString()!;
        Assert.Equal(solution.GetRawText(), (await _client.Get($"/v1/solutions/{id}").Success()).GetRawText());
        var list = await _client.Get($"/v1/solutions?layout={layout}").Success();
        var item = Assert.Single(list.GetProperty("solutions").EnumerateArray());
        Assert.Equal((id, "life", "solved"), (item.GetProperty("id").GetString(), item.GetProperty("name").GetString(), item.GetProperty("state").GetString()));
        using (var removed = await _client.Delete($"/v1/solutions/{id}")) Assert.Equal(HttpStatusCode.NoContent, removed.StatusCode);
        using (var gone = await _client.Get($"/v1/solutions/{id}")) Assert.Equal(HttpStatusCode.NotFound, gone.StatusCode);
        using (var picture = await _client.Get($"/v1/solutions/{id}/layers/L1.png")) Assert.Equal(HttpStatusCode.NotFound, picture.StatusCode);
        using (var again = await _client.Delete($"/v1/solutions/{id}")) Assert.Equal(HttpStatusCode.NotFound, again.StatusCode);
    }

    [Fact]
    public async Task Without_a_grid_the_service_chooses_one_and_says_what_it_is_worth()
    {
        var solution = await _client.PostJson("/v1/solutions", $$"""{ "layout": {{Boards.Plate("no grid")}}, "conditions": {{Boards.Conditions}} }""").Success();
        var accuracy = solution.GetProperty("accuracy");
        Assert.InRange(accuracy.GetProperty("pitchMm").GetDouble(), 0.01, 2);
        Assert.InRange(accuracy.GetProperty("gridErrorKelvin").GetDouble(), 0, 5);
    }

    [Fact]
    public async Task A_limit_that_is_exceeded_fails_the_verdict_with_its_reason()
    {
        var solution = await _client.Solve(Boards.Plate("hot").Replace("\"limitCelsius\": 150", "\"limitCelsius\": 40", StringComparison.Ordinal));
        Assert.False(solution.GetProperty("verdict").GetProperty("pass").GetBoolean());
        Assert.Contains("U1", Assert.Single(solution.GetProperty("verdict").GetProperty("reasons").EnumerateArray()).GetString(), StringComparison.Ordinal);
    }

    [Fact]
    public async Task Eight_requests_at_once_are_all_answered_and_equal_ones_solved_once()
    {
        string[] requests = [.. Enumerable.Range(0, 8).Select(i => Boards.Request(Boards.Plate($"at once {i / 2}")))];
        var answers = await Task.WhenAll(requests.Select(r => _client.PostJson("/v1/solutions", r).Success()));
        Assert.Equal(4, answers.Select(a => a.GetProperty("id").GetString()).Distinct().Count());
        for (int i = 0; i < answers.Length; i += 2) Assert.Equal(answers[i].GetRawText(), answers[i + 1].GetRawText());
    }

    [Fact]
    public async Task Asked_to_respond_at_once_it_says_where_to_look()
    {
        using var response = await _client.SendAsync(Requests.Preferring("respond-async", Boards.Request(Boards.Plate("later"))), TestContext.Current.CancellationToken);
        Assert.Equal(HttpStatusCode.Accepted, response.StatusCode);
        Assert.Equal("respond-async", Assert.Single(response.Headers.GetValues("Preference-Applied")));
        var solution = await Until(response.Headers.Location!.ToString(), s => s.GetProperty("state").GetString() == "solved");
        Assert.True(solution.TryGetProperty("peak", out _));
    }

    [Fact]
    public async Task A_solve_that_nobody_waits_for_any_more_is_cancelled()
    {
        using var leaving = new CancellationTokenSource();
        var pending = _client.PostAsync("/v1/solutions", Requests.Json(Boards.SlowRequest("left alone")), leaving.Token);
        var list = await Until("/v1/solutions?name=left%20alone", l => l.GetProperty("solutions").EnumerateArray().Any(s => s.GetProperty("state").GetString() == "running"));
        string id = list.GetProperty("solutions")[0].GetProperty("id").GetString()!;
        await leaving.CancelAsync();
        await Assert.ThrowsAnyAsync<OperationCanceledException>(() => pending);
        var end = await Until($"/v1/solutions/{id}", s => s.GetProperty("state").GetString() == "cancelled");
        Assert.Equal("urn:heatspread:problem:cancelled", end.GetProperty("problem").GetProperty("type").GetString());
    }

    private async Task<JsonElement> Until(string address, Func<JsonElement, bool> reached)
    {
        while (true)
        {
            var body = await _client.Get(address).Success();
            if (reached(body)) return body;
            await Task.Delay(20, TestContext.Current.CancellationToken);
        }
    }

    private static void AssertKeys(JsonElement value, params string[] keys) =>
        Assert.All(keys, key => Assert.True(value.TryGetProperty(key, out _), $"{key} is missing in {value}"));
}
