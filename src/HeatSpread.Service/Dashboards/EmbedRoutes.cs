using System.Globalization;
using System.Net;
using System.Text;
using System.Text.Json;
using HeatSpread.Boards;
using HeatSpread.Service.OpenApi;
using HeatSpread.Service.Problems;
using HeatSpread.Service.Solutions;
using Microsoft.AspNetCore.Http.HttpResults;
using Microsoft.Extensions.Primitives;

namespace HeatSpread.Service.Dashboards;

/// <summary>One layer of a solution as a page of its own, for a frame of a dashboard: the map, the verdict and the peak, without a script.</summary>
internal static class EmbedRoutes
{
    private const int SecondsToLookAgain = 3;

    private static readonly int[] Widths = [480, 720, 960, 1440];

    public static void MapEmbed(this IEndpointRouteBuilder routes) => routes.MapGet("/embed/solutions/{id}", Show)
        .WithTags("Dashboards").WithName("embedSolution").WithSummary("One layer of a solution as a page for a frame").WithMetadata(QueryOf.Embed).Produces<string>(200, "text/html").ProducesProblems(400, 404, 500);

    public static string Address(string id) => $"/embed/solutions/{id}";

    private static async Task<IResult> Show(string id, HttpRequest request, SolutionLookup lookup, CancellationToken cancellationToken)
    {
        string? layer = request.Query["layer"].Count == 1 ? request.Query["layer"].ToString() : null;
        var map = new QueryCollection(request.Query.Where(q => q.Key is not ("layer" or "width")).ToDictionary(q => q.Key, q => q.Value));
        var options = MapQuery.Read(map);
        List<Fault> faults = [.. options.Faults];
        if (request.Query.ContainsKey("width")) faults.Add(new("/width", "`width` is the frame's here: the map fills it."));
        if (request.Query["layer"].Count > 1) faults.Add(new("/layer", "`layer` must be given once."));
        if (faults.Count > 0) return Problem.Of(ProblemKind.InvalidQuery, faults);
        var found = await lookup.Find(id, cancellationToken);
        if (found.Answer is { } answer) return Solved(JsonElement.Parse(answer), layer, map);
        if (found.Progress is not { } progress) return SolutionRoutes.Missing(id);
        bool goesOn = progress.State is SolutionState.Queued or SolutionState.Running;
        string state = progress.Progress is { } step ? string.Create(CultureInfo.InvariantCulture, $"{progress.State.ToString().ToLowerInvariant()}, {step.Percent:F0} %") : progress.State.ToString().ToLowerInvariant();
        return Page("Solution", goesOn ? SecondsToLookAgain : null, $"<p>{Text(state)}</p>{(progress.Problem is { } problem ? $"<p>{Text(problem.Detail)}</p>" : "")}");
    }

    private static IResult Solved(JsonElement solution, string? layer, QueryCollection map)
    {
        var layers = solution.GetProperty("layers").EnumerateArray().ToArray();
        var shown = layer is null ? layers[0] : layers.FirstOrDefault(l => l.GetProperty("name").GetString() == layer);
        if (shown.ValueKind == JsonValueKind.Undefined) return Problem.NotFound($"The board has no copper layer {layer}; it has {string.Join(", ", layers.Select(l => l.GetProperty("name").GetString()))}.");
        string name = shown.GetProperty("name").GetString()!, title = $"{solution.GetProperty("name").GetString()} {solution.GetProperty("revision").GetString()}, {name}";
        bool pass = solution.GetProperty("verdict").GetProperty("pass").GetBoolean();
        var peak = solution.GetProperty("peak");
        string image = "../.." + shown.GetProperty("image").GetString()!; // relative, so that it holds below a gateway's path too
        string Picture(int width) => Text($"{image}{QueryString.Create(map.Append(new("width", new StringValues(width.ToString(CultureInfo.InvariantCulture)))))}");
        var body = new StringBuilder();
        body.Append(CultureInfo.InvariantCulture, $"<img src=\"{Picture(Widths[1])}\" srcset=\"{string.Join(", ", Widths.Select(w => $"{Picture(w)} {w}w"))}\" sizes=\"100vw\" alt=\"Temperatures of {Text(title)}\">");
        body.Append(CultureInfo.InvariantCulture, $"<p><strong>{Text(title)}</strong> <span class=\"{(pass ? "pass" : "fail")}\">{(pass ? "within limits" : "over a limit")}</span> peak {peak.GetProperty("celsius").GetDouble():F1}&nbsp;°C in {Text(peak.GetProperty("layer").GetString()!)}</p>");
        return Page(title, null, body.ToString());
    }

    private static ContentHttpResult Page(string title, int? refreshSeconds, string body) => TypedResults.Content(
        $"<!doctype html><html lang=\"en\"><head><meta charset=\"utf-8\"><meta name=\"viewport\" content=\"width=device-width\"><meta name=\"color-scheme\" content=\"light dark\">{(refreshSeconds is { } s ? $"<meta http-equiv=\"refresh\" content=\"{s}\">" : "")}<title>{Text(title)}</title><link rel=\"icon\" href=\"../../icon.svg\"><link rel=\"stylesheet\" href=\"../../embed.css\"></head><body>{body}</body></html>\n",
        "text/html", Encoding.UTF8);

    private static string Text(string text) => WebUtility.HtmlEncode(text);
}
