using System.Net;
using System.Text.Json;

namespace HeatSpread.Service.Tests;

public sealed class ConverterTests(SharedService service)
{
    private const string Point = """
        { "part": "U1", "inductor": "L5", "inputVolts": 13.5, "outputVolts": 5, "outputAmps": 3, "switchingKilohertz": 2100, "inductorMicrohenry": 1.5, "windingMilliohm": 20, "coreWatts": 0.1,
          "switchMilliohm": 60, "rectifierMilliohm": 40, "riseNanoseconds": 3, "fallNanoseconds": 3, "deadTimeNanoseconds": 8, "gateNanocoulomb": 6, "gateVolts": 5, "quiescentMilliamps": 0.5 }
        """;

    private readonly HttpClient _client = service.Client;

    private static string With(string converter) => Boards.Conditions.TrimEnd()[..^1] + $", \"converter\": {converter} }}";

    [Fact]
    public async Task The_operating_point_gives_the_watts_of_its_parts()
    {
        var solution = await _client.Solve(Boards.Plate("converter"), With(Point));
        var converter = solution.GetProperty("converter");
        Assert.Equal(("U1", "L5", "buck"), (converter.GetProperty("part").GetString(), converter.GetProperty("inductor").GetString(), converter.GetProperty("topology").GetString()));
        double Watts(string part) => converter.GetProperty("losses").EnumerateArray().Where(l => l.GetProperty("part").GetString() == part).Sum(l => l.GetProperty("watts").GetDouble());
        foreach (var part in solution.GetProperty("parts").EnumerateArray()) Assert.Equal(Watts(part.GetProperty("id").GetString()!), part.GetProperty("watts").GetDouble(), 1e-6);
        double input = converter.GetProperty("inputWatts").GetDouble(), output = converter.GetProperty("outputWatts").GetDouble();
        Assert.Equal(15, output, 1e-12);
        Assert.Equal(output / input, converter.GetProperty("efficiency").GetDouble(), 1e-12);
        Assert.Equal(input - output, solution.GetProperty("heat").GetProperty("dissipatedWatts").GetDouble(), 1e-6);
        Assert.InRange(converter.GetProperty("dutyRatio").GetDouble(), 5 / 13.5, 0.45);
        Assert.Equal(solution.GetProperty("parts")[0].GetProperty("nodes").GetProperty("junction").GetDouble(), converter.GetProperty("partCelsius").GetDouble(), 1e-3);
        // The layout's own watts of the two parts are not taken, and the answer says so.
        string[] warnings = [.. converter.GetProperty("warnings").EnumerateArray().Select(text => text.GetString()!)];
        Assert.Equal(2, warnings.Length);
        Assert.StartsWith("The layout gives U1 1.2 W; the losses of the operating point, ", warnings[0], StringComparison.Ordinal);
        Assert.Equal(warnings, solution.GetProperty("warnings").EnumerateArray().Select(text => text.GetString()!));
        Assert.Equal(JsonValueKind.Null, (await _client.Solve(Boards.Plate("no converter"))).GetProperty("converter").ValueKind);
    }

    [Fact]
    public async Task Discontinuous_conduction_is_told()
    {
        var solution = await _client.Solve(Boards.Plate("light load"), With(Point.Replace("\"outputAmps\": 3", "\"outputAmps\": 0.3", StringComparison.Ordinal)), """{ "pitchMm": 1 }""");
        Assert.Contains("more than twice its mean current, 0.3 A", solution.GetProperty("converter").GetProperty("warnings")[0].GetString(), StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_measured_efficiency_is_kept()
    {
        var solution = await _client.Solve(Boards.Plate("measured"), With("""{ "part": "U1", "inductor": "L5", "inputVolts": 13.5, "outputVolts": 5, "outputAmps": 3, "switchingKilohertz": 2100, "windingMilliohm": 20, "efficiency": 0.9 }"""));
        Assert.Equal(0.9, solution.GetProperty("converter").GetProperty("efficiency").GetDouble(), 1e-9);
        Assert.Equal(15 / 9.0, solution.GetProperty("heat").GetProperty("dissipatedWatts").GetDouble(), 1e-6);
    }

    [Fact]
    public async Task A_point_that_runs_away_is_a_problem_with_the_last_stable_load()
    {
        using var response = await _client.PostJson("/v1/solutions", Boards.Request(Boards.Plate("runaway"), With(Point.Replace("\"outputAmps\": 3", "\"outputAmps\": 40", StringComparison.Ordinal)), """{ "pitchMm": 1 }"""));
        Assert.Equal(HttpStatusCode.UnprocessableEntity, response.StatusCode);
        var problem = await response.Body();
        Assert.Equal("urn:heatspread:problem:thermal-runaway", problem.GetProperty("type").GetString());
        Assert.Equal("/conditions/converter/outputAmps", problem.GetProperty("errors")[0].GetProperty("pointer").GetString());
        double stable = problem.GetProperty("lastStableOutputAmps").GetDouble();
        Assert.InRange(stable, 5, 39);
        var below = await _client.Solve(Boards.Plate("below runaway"), With(Point.Replace("\"outputAmps\": 3", $"\"outputAmps\": {stable * 0.95:F2}", StringComparison.Ordinal)), """{ "pitchMm": 1 }""");
        Assert.True(below.GetProperty("peak").GetProperty("celsius").GetDouble() > 200);
    }
}
