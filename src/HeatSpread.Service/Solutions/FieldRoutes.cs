using HeatSpread.Boards;
using HeatSpread.Rendering;
using HeatSpread.Service.OpenApi;
using HeatSpread.Service.Problems;

namespace HeatSpread.Service.Solutions;

/// <summary>Pictures and fields of a solution.</summary>
internal static class FieldRoutes
{
    public static void MapFields(this IEndpointRouteBuilder routes)
    {
        var group = routes.MapGroup("/v1/solutions/{id}").WithTags("Solutions");
        group.MapGet("layers/{layer}.png", DrawLayer).WithName("drawLayer").WithSummary("False-colour map of one layer").WithMetadata(QueryOf.Map).ProducesBytes("image/png").ProducesProblems(400, 404, 500);
        group.MapGet("layers/{layer}.npy", LayerArray).WithName("layerArray").WithSummary("Temperatures of one layer as an NPY array of float32").ProducesBytes("application/octet-stream").ProducesProblems(404, 500);
        group.MapGet("layers/{layer}.csv", LayerText).WithName("layerText").WithSummary("Temperatures of one layer as text").ProducesBytes("text/csv").ProducesProblems(404, 500);
        group.MapGet("layers/{layer}/current.png", DrawCurrent).WithName("drawCurrent").WithSummary("Map of one layer's current density, A/mm²").WithMetadata(QueryOf.CurrentMap).ProducesBytes("image/png").ProducesProblems(400, 404, 500);
        group.MapGet("layers/{layer}/current.npy", CurrentArray).WithName("currentArray").WithSummary("Current density of one layer, A/mm², as an NPY array of float32").ProducesBytes("application/octet-stream").ProducesProblems(404, 500);
        group.MapGet("views/top.png", (string id, HttpRequest request, SolutionStore store) => DrawView(id, BoardSide.Top, request, store))
            .WithName("drawTopView").WithSummary("What a thermal camera would show of the top").WithMetadata(QueryOf.Map).ProducesBytes("image/png").ProducesProblems(400, 404, 500);
        group.MapGet("views/bottom.png", (string id, HttpRequest request, SolutionStore store) => DrawView(id, BoardSide.Bottom, request, store))
            .WithName("drawBottomView").WithSummary("What a thermal camera would show of the bottom").WithMetadata(QueryOf.Map).ProducesBytes("image/png").ProducesProblems(400, 404, 500);
    }

    private static IResult DrawLayer(string id, string layer, HttpRequest request, SolutionStore store)
    {
        var options = MapQuery.Read(request.Query);
        if (options.Value is null) return Problem.Of(ProblemKind.InvalidQuery, options.Faults);
        return OfLayer(id, layer, store, $"png-{MapQuery.Tag(options.Value)}-{Builds.Drawing}", "image/png", (solved, index) =>
            LayerMap.Draw(solved.Board, solved.Raster, solved.Field, index, solved.HotSpots, options.Value));
    }

    private static IResult DrawCurrent(string id, string layer, HttpRequest request, SolutionStore store)
    {
        var options = MapQuery.ReadCurrent(request.Query);
        if (options.Value is null) return Problem.Of(ProblemKind.InvalidQuery, options.Faults);
        return OfCurrent(id, layer, store, $"current-png-{MapQuery.Tag(options.Value)}-{Builds.Drawing}", "image/png", (solved, index) => CurrentMap.Draw(solved.Board, solved.Field, index, options.Value));
    }

    private static IResult CurrentArray(string id, string layer, SolutionStore store) =>
        OfCurrent(id, layer, store, "current-npy", "application/octet-stream", (solved, index) => Npy.Write(solved.Field.Currents!.LayerAmpsPerMm2[index], solved.Field.Grid.Rows, solved.Field.Grid.Columns));

    private static IResult OfCurrent(string id, string layer, SolutionStore store, string tag, string contentType, Func<SolvedBoard, int, byte[]> make) =>
        store.Open(id) is { Field.Currents: null } ? Problem.NotFound("The conditions of this solution have no `currents`.") : OfLayer(id, layer, store, tag, contentType, make);

    private static IResult LayerArray(string id, string layer, SolutionStore store) =>
        OfLayer(id, layer, store, "npy", "application/octet-stream", (solved, index) => Npy.Write(Celsius(solved, index), solved.Field.Grid.Rows, solved.Field.Grid.Columns));

    private static IResult LayerText(string id, string layer, SolutionStore store) =>
        OfLayer(id, layer, store, "csv", "text/csv", (solved, index) => Csv.Write(Celsius(solved, index), solved.Field.Grid.Columns));

    private static IResult DrawView(string id, BoardSide side, HttpRequest request, SolutionStore store)
    {
        var options = MapQuery.Read(request.Query);
        if (options.Value is null) return Problem.Of(ProblemKind.InvalidQuery, options.Faults);
        if (store.Open(id) is not { } solved) return SolutionRoutes.Missing(id);
        return new Immutable($"{id}-{side}-{MapQuery.Tag(options.Value)}-{Builds.Drawing}", "image/png", () => CameraView.Draw(solved.Board, solved.Field, side, options.Value));
    }

    private static IResult OfLayer(string id, string layer, SolutionStore store, string tag, string contentType, Func<SolvedBoard, int, byte[]> make)
    {
        if (store.Open(id) is not { } solved) return SolutionRoutes.Missing(id);
        int index = LayerName.Find(solved.Board, layer);
        return index < 0 ? LayerName.Missing(solved.Board, layer) : new Immutable($"{id}-{index}-{tag}", contentType, () => make(solved, index));
    }

    private static float[] Celsius(SolvedBoard solved, int layer) => solved.Field.RowCelsius[solved.Board.Layers[layer].Row];
}
