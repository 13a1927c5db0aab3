using HeatSpread.Service.Problems;
using HeatSpread.Service.Solutions;

namespace HeatSpread.Service.Viewing;

/// <summary>Other conditions on a solved board, tried while a person looks.</summary>
internal static class TrialRoutes
{
    public static void MapTrials(this IEndpointRouteBuilder routes)
    {
        var group = routes.MapGroup("/v1/solutions/{id}/trials").WithTags("Solutions");
        group.MapPost("", Try).WithName("tryConditions").WithSummary("Other conditions on the same board and grid: temperatures at once, without error estimate or findings; nothing is stored")
            .WithDescription("Post a solution for an answer to rely on.")
            .TakesDocuments(("application/json", "TrialRequest")).Produces<TriedAnswer>().ProducesProblems(400, 404, 413, 415, 422, 429, 500, 503, 504);
        group.MapGet("{trial}/layers/{layer}.npy", Field).WithName("trialArray").WithSummary("Temperatures of one layer of a trial, °C, as an NPY array of float32; 404 when it is forgotten")
            .ProducesBytes("application/octet-stream").ProducesProblems(404);
    }

    private static async Task<IResult> Try(string id, HttpRequest request, BodyReader bodies, SolutionStore store, TrialDesk desk, CancellationToken cancellationToken)
    {
        if (store.Case(id) is not { } solution) return SolutionRoutes.Missing(id);
        if (!request.HasJsonContentType()) return BodyReader.MediaType(request, "application/json");
        var (json, refused) = await bodies.ReadJson(request, cancellationToken);
        if (refused is not null) return refused;
        var (trial, problem) = await desk.Try(solution, json, cancellationToken);
        return trial is null ? problem! : TypedResults.Ok(TriedAnswer.Of(id, trial));
    }

    private static IResult Field(string id, string trial, string layer, TrialDesk desk)
    {
        if (desk.Find(id, trial) is not { } tried) return Problem.NotFound($"There is no trial {trial} of a solution {id} in memory; post its conditions again.");
        int index = LayerName.Find(tried.Board, layer);
        if (index < 0) return LayerName.Missing(tried.Board, layer);
        return new Immutable($"{trial}-{index}-npy", "application/octet-stream", () => Npy.Write(tried.Field.RowCelsius[tried.Board.Layers[index].Row], tried.Field.Grid.Rows, tried.Field.Grid.Columns));
    }
}

/// <summary>A trial's temperatures.</summary>
/// <param name="Id">Of the trial.</param>
/// <param name="Solution">Whose board and grid it is on.</param>
/// <param name="PeakCelsius">Hottest of all rows of the stack, without part nodes.</param>
/// <param name="Parts">In the layout's order.</param>
/// <param name="Layers">Copper layers, top to bottom.</param>
/// <param name="Heat">Where it goes.</param>
internal sealed record TriedAnswer(string Id, string Solution, double PeakCelsius, IReadOnlyList<TriedPart> Parts, IReadOnlyList<TriedLayer> Layers, TriedHeat Heat)
{
    public static TriedAnswer Of(string solution, Trial trial)
    {
        var (board, field) = (trial.Board, trial.Field);
        return new(
            trial.Id,
            solution,
            field.RowCelsius.Max(row => row.Where(float.IsFinite).Max()),
            [.. board.Parts.Zip(field.Parts, (part, solved) => new TriedPart(part.Id, solved.Watts, solved.MaxCelsius, part.LimitCelsius, part.LimitCelsius - solved.MaxCelsius))],
            [.. board.Layers.Select(layer => Layer(solution, trial, layer.Name, field.RowCelsius[layer.Row]))],
            new(field.Heat.DissipatedWatts, field.Heat.TopWatts, field.Heat.BottomWatts));
    }

    private static TriedLayer Layer(string solution, Trial trial, string name, float[] celsius) => new(
        name, celsius.Where(float.IsFinite).Max(), celsius.Where(float.IsFinite).Min(), $"/v1/solutions/{solution}/trials/{trial.Id}/layers/{LayerName.Segment(name)}.npy");
}

/// <param name="Id">Of the part.</param>
/// <param name="Watts">Made in it.</param>
/// <param name="MaxCelsius">Its hottest node, or the board under its pads.</param>
/// <param name="LimitCelsius">Null: none given.</param>
/// <param name="MarginKelvin">Limit less maximum.</param>
internal sealed record TriedPart(string Id, double Watts, double MaxCelsius, double? LimitCelsius, double? MarginKelvin);

/// <param name="Name">Of the layer.</param>
/// <param name="MaxCelsius">Over the whole row.</param>
/// <param name="MinCelsius">As the maximum.</param>
/// <param name="Field">Address of the temperatures.</param>
internal sealed record TriedLayer(string Name, double MaxCelsius, double MinCelsius, string Field);

/// <param name="DissipatedWatts">Made on the board.</param>
/// <param name="TopWatts">By the top.</param>
/// <param name="BottomWatts">By the bottom.</param>
internal sealed record TriedHeat(double DissipatedWatts, double TopWatts, double BottomWatts);
