using System.Globalization;
using System.Text;
using System.Text.Json;
using HeatSpread.Service.Solutions;

namespace HeatSpread.Service.Demo;

/// <summary>
/// The option <c>--demo</c>: solves the two revisions of the demo board as a request would, prints what came of it, and leaves the
/// service running.
/// </summary>
internal static class DemoRun
{
    private static readonly string[] Revisions = ["demo-unbroken.json", "demo-cut.json"];

    /// <param name="app">Started.</param>
    /// <param name="output">Where the table goes.</param>
    public static async Task Run(WebApplication app, TextWriter output)
    {
        await using var scope = app.Services.CreateAsyncScope();
        var desk = scope.ServiceProvider.GetRequiredService<SolutionDesk>();
        var rows = new List<JsonElement>();
        foreach (string file in Revisions)
        {
            var outcome = await desk.Ask(Request(file), wait: null, app.Lifetime.ApplicationStopping);
            if (outcome.Answer is null) throw new InvalidOperationException($"The demo {file} was not solved: {outcome.Problem?.Detail} {outcome.Problem?.Faults?[0]}");
            rows.Add(JsonElement.Parse(outcome.Answer));
        }
        await output.WriteAsync(Table(rows));
        await output.WriteLineAsync($"The page: {Address(app)}");
    }

    private static byte[] Request(string layoutFile) =>
        Encoding.UTF8.GetBytes($$"""{ "layout": {{Text(layoutFile)}}, "conditions": {{Text("demo-conditions.json")}}, "grid": { "pitchMm": 0.25 } }""");

    private static string Text(string file) => File.ReadAllText(Path.Combine(AppContext.BaseDirectory, "demo", file));

    private static string Table(List<JsonElement> solutions)
    {
        var parts = solutions[0].GetProperty("parts").EnumerateArray().Where(p => p.GetProperty("watts").GetDouble() > 0).Select(p => p.GetProperty("id").GetString()!).ToList();
        var text = new StringBuilder();
        text.AppendLine().Append(CultureInfo.InvariantCulture, $"{"board",-28}");
        foreach (string part in parts) text.Append(CultureInfo.InvariantCulture, $"{part + " °C",10}");
        text.Append(CultureInfo.InvariantCulture, $"{"peak °C",10}{"± K",8}{"seconds",9}  verdict").AppendLine();
        foreach (var solution in solutions) AppendRow(text, solution, parts);
        return text.AppendLine().ToString();
    }

    private static void AppendRow(StringBuilder text, JsonElement solution, List<string> parts)
    {
        text.Append(CultureInfo.InvariantCulture, $"{$"{solution.GetProperty("name")} {solution.GetProperty("revision")}",-28}");
        foreach (string id in parts)
        {
            var part = solution.GetProperty("parts").EnumerateArray().First(p => p.GetProperty("id").GetString() == id);
            text.Append(CultureInfo.InvariantCulture, $"{part.GetProperty("maxCelsius").GetDouble(),10:F1}");
        }
        text.Append(CultureInfo.InvariantCulture, $"{solution.GetProperty("peak").GetProperty("celsius").GetDouble(),10:F1}{solution.GetProperty("accuracy").GetProperty("gridErrorKelvin").GetDouble(),8:F1}{solution.GetProperty("seconds").GetProperty("total").GetDouble(),9:F2}");
        text.Append(solution.GetProperty("verdict").GetProperty("pass").GetBoolean() ? "  pass" : "  fail").AppendLine();
    }

    // A wildcard is no address that a browser can open.
    private static string Address(WebApplication app) =>
        (app.Urls.FirstOrDefault() ?? "").Replace("[::]", "localhost", StringComparison.Ordinal).Replace("0.0.0.0", "localhost", StringComparison.Ordinal).Replace("*", "localhost", StringComparison.Ordinal).Replace("+", "localhost", StringComparison.Ordinal);
}
