using System.Net;
using System.Text;
using System.Text.Json;

namespace HeatSpread.Service.Tests;

/// <summary>Transients and correlations over HTTP.</summary>
public sealed class TransientStudyTests(SharedService shared)
{
    private readonly HttpClient _client = shared.Client;

    [Fact]
    public async Task A_transient_ends_in_the_steady_state_and_is_drawn()
    {
        string layout = Boards.Plate("switched on");
        var study = await Study(layout, """
            "grid": { "pitchMm": 1 },
            "transient": { "firstSeconds": 0.1, "endSeconds": 20000, "impedances": ["U1"],
                           "schedule": { "stages": [{ "seconds": 0, "watts": {} }] },
                           "pulse": { "part": "U1", "watts": 2, "onSeconds": 1, "periodSeconds": 2 } }
            """);
        var transient = study.GetProperty("transient");
        double steady = transient.GetProperty("steadyCelsius")[0].GetDouble();
        var schedule = transient.GetProperty("schedule");
        double[] seconds = [.. schedule.GetProperty("seconds").EnumerateArray().Select(value => value.GetDouble())], celsius = [.. schedule.GetProperty("partCelsius")[0].EnumerateArray().Select(value => value.GetDouble())];
        Assert.Equal(20000, seconds[^1]);
        Assert.Equal(steady, celsius[^1], 0.05);
        Assert.All(celsius.Zip(celsius.Skip(1)), pair => Assert.True(pair.Second >= pair.First - 0.05));
        var pulse = transient.GetProperty("pulse");
        double peak = pulse.GetProperty("peakCelsius").GetDouble(), mean = pulse.GetProperty("meanCelsius").GetDouble(), trough = pulse.GetProperty("troughCelsius").GetDouble();
        Assert.True(trough < mean && mean < peak);
        string address = "/v1/studies/" + study.GetProperty("id").GetString();
        Assert.Equal("image/png", (await _client.GetAsync(address + "/impedance.png?width=480", TestContext.Current.CancellationToken)).Content.Headers.ContentType?.MediaType);
        Assert.Contains("<svg", Encoding.UTF8.GetString(await (await _client.Get(address + "/schedule.svg")).Bytes()), StringComparison.Ordinal);
        Assert.Equal(HttpStatusCode.NotFound, (await _client.Get(address + "/correlation.png")).StatusCode);
    }

    [Fact]
    public async Task A_correlation_finds_the_film_that_the_points_were_made_with()
    {
        string layout = Boards.Plate("measured");
        string truth = Boards.Conditions.Replace("12", "14", StringComparison.Ordinal).Replace("8", "14", StringComparison.Ordinal);
        var solution = await _client.Solve(layout, truth);
        double u1 = solution.GetProperty("parts")[0].GetProperty("maxCelsius").GetDouble(), probe = solution.GetProperty("probes")[0].GetProperty("celsius").GetDouble();
        var study = await Study(layout, string.Create(System.Globalization.CultureInfo.InvariantCulture, $$"""
            "correlation": { "points": [{ "part": "U1", "celsius": {{u1}}, "toleranceKelvin": 1 }, { "probe": "TP1", "celsius": {{probe}}, "standardUncertaintyKelvin": 0.5 }],
                             "inputs": [{ "quantity": "filmWattsPerM2K", "least": 2, "most": 60, "start": 5 }] }
            """));
        var fitted = study.GetProperty("correlation").GetProperty("inputs")[0];
        double film = JsonDocument.Parse(truth).RootElement.GetProperty("surfaces").GetProperty("top").GetProperty("filmWattsPerM2K").GetDouble();
        Assert.Equal(1, fitted.GetProperty("value").GetDouble() / film, 0.02);
        Assert.InRange(film, fitted.GetProperty("interval95")[0].GetDouble(), fitted.GetProperty("interval95")[1].GetDouble());
        Assert.Equal("image/png", (await _client.GetAsync("/v1/studies/" + study.GetProperty("id").GetString() + "/correlation.png", TestContext.Current.CancellationToken)).Content.Headers.ContentType?.MediaType);
    }

    [Fact]
    public async Task All_faults_of_a_transient_and_of_a_correlation_are_told()
    {
        string layout = Boards.Plate("faulty");
        string[] transient = await Faults(layout, """ "transient": { "endSeconds": 10, "firstSeconds": 20, "impedances": ["U9"], "schedule": { "start": "cold", "stages": [{ "seconds": 1, "watts": { "U1": -1 } }] }, "pulse": { "part": "U1", "watts": 1, "onSeconds": 2, "periodSeconds": 1 } } """);
        Assert.Equal(
            ["/transient/firstSeconds", "/transient/impedances/0", "/transient/pulse/onSeconds", "/transient/schedule/stages/0/seconds", "/transient/schedule/stages/0/watts/U1", "/transient/schedule/start"],
            transient.Order(StringComparer.Ordinal));
        string[] correlation = await Faults(layout, """ "correlation": { "points": [{ "part": "U1", "celsius": 60 }, { "probe": "none", "celsius": 60, "toleranceKelvin": 0 }], "photograph": { "side": "left", "csv": "1,2\n3", "reference": [], "toleranceKelvin": 1 }, "inputs": [{ "quantity": "filmWattsPerM2K", "least": 5, "most": 5 }] } """);
        Assert.Equal(
            ["/correlation/inputs/0/most", "/correlation/photograph/csv", "/correlation/photograph/reference", "/correlation/photograph/side", "/correlation/points/0", "/correlation/points/1/probe", "/correlation/points/1/toleranceKelvin"],
            correlation.Order(StringComparer.Ordinal));
    }

    private async Task<JsonElement> Study(string layout, string asked) =>
        await _client.PostJson("/v1/studies", $$"""{ "layout": {{layout}}, "conditions": {{Boards.Conditions}}, {{asked}} }""").Success();

    private async Task<string[]> Faults(string layout, string asked)
    {
        using var response = await _client.PostJson("/v1/studies", $$"""{ "layout": {{layout}}, "conditions": {{Boards.Conditions}}, {{asked}} }""");
        Assert.Equal(HttpStatusCode.UnprocessableEntity, response.StatusCode);
        using var problem = JsonDocument.Parse(await response.Content.ReadAsStringAsync(TestContext.Current.CancellationToken));
        return [.. problem.RootElement.GetProperty("errors").EnumerateArray().Select(error => error.GetProperty("pointer").GetString()!)];
    }
}
