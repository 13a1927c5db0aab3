using HeatSpread.Rendering;
using HeatSpread.Service.OpenApi;
using HeatSpread.Service.Problems;
using HeatSpread.Service.Solutions;
using HeatSpread.Service.Storage;

namespace HeatSpread.Service.Comparisons;

/// <summary>Comparisons: make, list, read, remove, and their difference maps.</summary>
internal static class ComparisonRoutes
{
    public static void MapComparisons(this IEndpointRouteBuilder routes)
    {
        var group = routes.MapGroup("/v1/comparisons").WithTags("Comparisons");
        group.MapPost("", Ask).WithName("askComparison").WithSummary("Compares solutions with one of them, and tells where the differences come from")
            .TakesDocuments(("application/json", "ComparisonRequest")).Produces<ComparisonAnswer>().ProducesProblems(400, 413, 415, 422, 429, 500, 503, 504);
        group.MapGet("", (ComparisonStore store) => TypedResults.Ok(store.List())).WithName("listComparisons").WithSummary("Lists comparisons, newest first").Produces<ComparisonList>();
        group.MapGet("{id}", Read).WithName("readComparison").WithSummary("The comparison").Produces<ComparisonAnswer>().Produces(304).ProducesProblems(404, 500);
        group.MapDelete("{id}", Remove).WithName("removeComparison").WithSummary("Removes a comparison; the solutions stay").Produces(204).ProducesProblems(404);
        group.MapGet("{id}/candidates/{solution}/layers/{layer}.png", Draw).WithName("drawDifference").WithSummary("Map of one layer's differences, candidate less baseline, on the comparison's common scale")
            .WithMetadata(QueryOf.DifferenceMap).ProducesBytes("image/png").ProducesProblems(400, 404, 429, 500);
        group.MapGet("{id}/candidates/{solution}/layers/{layer}.npy", Differences).WithName("differenceArray").WithSummary("The differences of one layer, K, as an NPY array of float32").ProducesBytes("application/octet-stream").ProducesProblems(404, 500);
    }

    public static string Image(string id, string solution, string layer) => $"/v1/comparisons/{id}/candidates/{solution}/layers/{LayerName.Segment(layer)}.png";

    private static async Task<IResult> Ask(HttpContext context, BodyReader bodies, ComparisonDesk desk, CancellationToken cancellationToken)
    {
        var (json, refused) = await bodies.ReadJson(context.Request, cancellationToken);
        if (refused is not null) return refused;
        var (id, answer, problem) = await desk.Ask(json, cancellationToken);
        if (problem is not null) return problem;
        context.Response.Headers.Location = $"/v1/comparisons/{id}";
        return Answer(answer!);
    }

    private static IResult Read(string id, ComparisonStore store) => store.Answer(id) is { } answer ? Answer(answer) : Missing(id);

    private static IResult Remove(string id, ComparisonStore store) => store.Remove(id) ? TypedResults.NoContent() : Missing(id);

    private static IResult Draw(string id, string solution, string layer, HttpRequest request, ComparisonStore store, Pictures pictures, CancellationToken cancellationToken)
    {
        var options = MapQuery.Read(request.Query);
        if (options.Value is not { } map) return Problem.Of(ProblemKind.InvalidQuery, options.Faults);
        if (store.Open(id, solution, layer) is not { } difference) return MissingMap(id, solution, layer);
        var scaled = map.MinCelsius is null && map.MaxCelsius is null ? map with { MaxCelsius = Math.Max(difference.ScaleKelvin, 0.01) } : map;
        string tag = $"{id}-{solution}-{difference.Layer}-{MapQuery.Tag(map)}-{Builds.Drawing}";
        return new Immutable(tag, "image/png", () => pictures.Draw(
            tag, () => DifferenceMap.Draw(difference.Baseline, difference.Candidate, difference.Grid, difference.Kelvin, difference.Layer, scaled), cancellationToken));
    }

    private static IResult Differences(string id, string solution, string layer, ComparisonStore store) => store.Open(id, solution, layer) is { } difference
        ? new Immutable($"{id}-{solution}-{difference.Layer}-npy", "application/octet-stream", () => Npy.Write(difference.Kelvin, difference.Grid.Rows, difference.Grid.Columns))
        : MissingMap(id, solution, layer);

    private static Immutable Answer(byte[] json) => new(ContentId.Of(json), "application/json", () => json) { AskEachTime = true };

    private static Problem Missing(string id) => Problem.NotFound($"There is no comparison {id}.");

    private static Problem MissingMap(string id, string solution, string layer) => Problem.NotFound($"There is no map of layer {layer} of a candidate {solution} in a comparison {id}: the layer must be in both boards.");
}
