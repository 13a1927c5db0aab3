using System.Net;
using HeatSpread.Service.Problems;
using HeatSpread.Thermal;
using Microsoft.Extensions.Logging.Abstractions;
using Microsoft.Extensions.Options;

namespace HeatSpread.Service.Tests;

/// <summary>Each kind of problem that a client can bring about. The approved bodies hold for scripts: a change of one is a change of the API.</summary>
public sealed class ProblemTests(SharedService service)
{
    private readonly HttpClient _client = service.Client;

    [Fact]
    public async Task An_unknown_address_is_404() => await Check(await _client.Get("/v1/nothing"), 404, "unknown-address");

    [Fact]
    public async Task An_unknown_layout_is_404() => await Check(await _client.Get("/v1/layouts/0123"), 404, "unknown-layout");

    [Fact]
    public async Task An_unknown_solution_is_404() => await Check(await _client.Get("/v1/solutions/..%2F..%2Fsecret"), 404, "unknown-solution");

    [Fact]
    public async Task An_unknown_layer_is_404_and_names_those_there_are()
    {
        string id = (await _client.Solve(Boards.Plate("layers"))).GetProperty("id").GetString()!;
        await Check(await _client.Get($"/v1/solutions/{id}/layers/L9.png"), 404, "unknown-layer");
    }

    [Fact]
    public async Task A_method_that_is_not_taken_is_405_and_says_which_are()
    {
        using var request = new HttpRequestMessage(HttpMethod.Put, "/v1/layouts");
        using var response = await _client.SendAsync(request, TestContext.Current.CancellationToken);
        Assert.Equal(["GET", "POST"], response.Content.Headers.Allow.Order());
        await Check(response, 405, "method-not-allowed");
    }

    [Fact]
    public async Task A_body_of_another_type_is_415()
    {
        using var body = new StringContent("<layout/>", System.Text.Encoding.UTF8, "application/xml");
        await Check(await _client.PostAsync("/v1/layouts", body, TestContext.Current.CancellationToken), 415, "media-type-layout");
        await Check(await _client.PostAsync("/v1/solutions", body, TestContext.Current.CancellationToken), 415, "media-type-solution");
    }

    [Theory]
    [InlineData("/v1/layouts", "{ \"name\": \"x\",\n  \"unit\" }", "malformed")]
    [InlineData("/v1/layouts", "", "empty-layout")]
    [InlineData("/v1/solutions", "{ \"layout\": ", "cut-off")]
    [InlineData("/v1/solutions", "", "empty-solution")]
    public async Task A_body_that_is_no_JSON_is_400_and_says_where(string address, string body, string approved) => await Check(await _client.PostJson(address, body), 400, approved);

    [Theory]
    [InlineData("[]", "not-an-object")]
    [InlineData("{}", "nothing-given")]
    [InlineData("""{ "layout": 7, "grid": 5, "colour": 1, "layout": 8, "conditions": """ + Boards.Conditions + "}", "wrong-types")]
    [InlineData("""{ "layout": "0123456789abcdef0123456789abcdef", "grid": { "pitchMm": 0, "targetErrorKelvin": "x", "pitch": 1 }, "conditions": """ + Boards.Conditions + "}", "unknown-id-and-grid")]
    public async Task A_request_with_faults_is_422_with_each(string body, string approved) => await Check(await _client.PostJson("/v1/solutions", body), 422, approved);

    [Fact]
    public async Task Faults_of_layout_conditions_and_grid_come_together_with_pointers_into_what_was_posted()
    {
        string layout = Boards.Plate("faulty").Replace("\"drill\": 0.3", "\"drill\": -0.3", StringComparison.Ordinal);
        const string conditions = """{ "ambientCelsius": "warm", "surfaces": { "top": { "filmWattsPerM2K": -1 }, "bottom": { "filmWattsPerM2K": 8 }, "edges": { "filmWattsPerM2K": 0 } } }""";
        using var response = await _client.PostJson("/v1/solutions", Boards.Request(layout, conditions, """{ "pitchMm": -1 }"""));
        Assert.Equal(HttpStatusCode.UnprocessableEntity, response.StatusCode);
        string[] pointers = [.. (await response.Body()).GetProperty("errors").EnumerateArray().Select(e => e.GetProperty("pointer").GetString()!)];
        Assert.Superset(new HashSet<string> { "/layout/vias/0/drill", "/conditions/ambientCelsius", "/conditions/surfaces/top/filmWattsPerM2K", "/grid/pitchMm" }, pointers.ToHashSet());
    }

    [Fact]
    public async Task A_grid_beyond_the_limit_is_422_and_names_the_limit() =>
        await Check(await _client.PostJson("/v1/solutions", Boards.Request(Boards.Plate("fine"), grid: """{ "pitchMm": 0.001 }""")), 422, "grid-too-fine");

    [Fact]
    public async Task A_board_without_a_way_out_is_422()
    {
        const string closed = """{ "ambientCelsius": 25, "surfaces": { "top": { "filmWattsPerM2K": 0 }, "bottom": { "filmWattsPerM2K": 0 }, "edges": { "filmWattsPerM2K": 0 } } }""";
        string board = Boards.Plate("closed").Replace("\"to\": \"ambient\"", "\"to\": \"board\"", StringComparison.Ordinal);
        using var response = await _client.PostJson("/v1/solutions", Boards.Request(board, closed));
        Assert.Equal(HttpStatusCode.UnprocessableEntity, response.StatusCode);
        Assert.All((await response.Body()).GetProperty("errors").EnumerateArray(), e => Assert.StartsWith("/conditions", e.GetProperty("pointer").GetString(), StringComparison.Ordinal));
    }

    [Theory]
    [InlineData("width=10&min=a&max=NaN&palette=pretty&outlines=yes&zoom=3", "query-map")]
    [InlineData("width=400&width=500&min=80&max=20", "query-twice-and-order")]
    public async Task A_query_with_faults_is_400_with_each(string query, string approved)
    {
        string id = (await _client.Solve(Boards.Plate("query"))).GetProperty("id").GetString()!;
        await Check(await _client.Get($"/v1/solutions/{id}/layers/L1.png?{query}"), 400, approved);
    }

    [Fact]
    public async Task A_query_of_the_copper_picture_with_faults_is_400()
    {
        string id = await _client.Take(Boards.Plate("query"));
        await Check(await _client.Get($"/v1/layouts/{id}/layers/L1.png?width=99999&pitchMm=-1&min=3"), 400, "query-copper");
    }

    [Fact]
    public async Task A_list_does_not_pass_over_a_misspelt_key() => await Check(await _client.Get("/v1/solutions?nmae=x"), 400, "query-list");

    [Fact]
    public void What_the_solver_refuses_has_its_own_kinds()
    {
        var table = new ExceptionProblems(Options.Create(new ServiceSettings()), NullLogger<ExceptionProblems>.Instance);
        var refused = table.Of(new ThermalSolveException("The heat of U1 has no way out.") { NoWayOut = true });
        Assert.Equal((422, "/conditions/surfaces"), (refused.Kind.Status, refused.Faults!.Single().Pointer));
        var failed = table.Of(new ThermalSolveException("Relative residual 1e-3 after 500 iterations."));
        Assert.Equal((500, "urn:heatspread:problem:not-converged"), (failed.Kind.Status, failed.Kind.Type));
        Assert.Contains("500 iterations", failed.Detail, StringComparison.Ordinal); // the figures are told, no picture is made
        Assert.DoesNotContain("secret", table.Of(new InvalidOperationException("secret")).Detail, StringComparison.Ordinal);
    }

    private static async Task Check(HttpResponseMessage response, int status, string approved)
    {
        using (response)
        {
            Assert.Equal(status, (int)response.StatusCode);
            Assert.Equal("application/problem+json", response.Content.Headers.ContentType?.MediaType);
            var body = await response.Body();
            Assert.Equal(status, body.GetProperty("status").GetInt32());
            Assert.DoesNotContain(" at HeatSpread.", body.GetRawText(), StringComparison.Ordinal);
            Approved.Json(Path.Combine("problems", approved + ".json"), body);
        }
    }
}
