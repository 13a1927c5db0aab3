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
        group.MapGet("layers/{layer}.png", DrawLayer).WithName("drawLayer").WithSummary("False-colour map of one layer").WithMetadata(QueryOf.Map).ProducesBytes("image/png").ProducesProblems(400, 404, 429, 500);
        group.MapGet("layers/{layer}.npy", LayerArray).WithName("layerArray").WithSummary("Temperatures of one layer as an NPY array of float32").ProducesBytes("application/octet-stream").ProducesProblems(404, 500);
        group.MapGet("layers/{layer}.csv", LayerText).WithName("layerText").WithSummary("Temperatures of one layer as text").ProducesBytes("text/csv").ProducesProblems(404, 500);
        group.MapGet("layers/{layer}/current.png", DrawCurrent).WithName("drawCurrent").WithSummary("Map of one layer's current density, A/mm²").WithMetadata(QueryOf.CurrentMap).ProducesBytes("image/png").ProducesProblems(400, 404, 429, 500);
        group.MapGet("layers/{layer}/current.npy", CurrentArray).WithName("currentArray").WithSummary("Current density of one layer, A/mm², as an NPY array of float32").ProducesBytes("application/octet-stream").ProducesProblems(404, 500);
        group.MapGet("views/top.png", (string id, HttpRequest request, SolutionStore store, Pictures pictures, CancellationToken token) => DrawView(id, BoardSide.Top, request, store, pictures, token))
            .WithName("drawTopView").WithSummary("What a thermal camera would show of the top").WithMetadata(QueryOf.Map).ProducesBytes("image/png").ProducesProblems(400, 404, 429, 500);
        group.MapGet("views/bottom.png", (string id, HttpRequest request, SolutionStore store, Pictures pictures, CancellationToken token) => DrawView(id, BoardSide.Bottom, request, store, pictures, token))
            .WithName("drawBottomView").WithSummary("What a thermal camera would show of the bottom").WithMetadata(QueryOf.Map).ProducesBytes("image/png").ProducesProblems(400, 404, 429, 500);
    }

    private static IResult DrawLayer(string id, string layer, HttpRequest request, SolutionStore store, Pictures pictures, CancellationToken cancellationToken)
    {
        var options = MapQuery.Read(request.Query);
        if (options.Value is null) return Problem.Of(ProblemKind.InvalidQuery, options.Faults);
        return OfLayer(id, layer, store, (solved, index) => LayerMap.Draw(solved.Board, options.Value.Flow ? solved.Raster : null, solved.Field, index, solved.HotSpots, options.Value), (index, draw) =>
            Picture($"{id}-{index}-png-{MapQuery.Tag(options.Value)}-{Builds.Drawing}", pictures, draw, cancellationToken));
    }

    private static IResult DrawCurrent(string id, string layer, HttpRequest request, SolutionStore store, Pictures pictures, CancellationToken cancellationToken)
    {
        var options = MapQuery.ReadCurrent(request.Query);
        if (options.Value is null) return Problem.Of(ProblemKind.InvalidQuery, options.Faults);
        if (store.Open(id) is { Field.Currents: null }) return NoCurrents;
        return OfLayer(id, layer, store, (solved, index) => CurrentMap.Draw(solved.Board, solved.Field, index, options.Value), (index, draw) =>
            Picture($"{id}-{index}-current-png-{MapQuery.Tag(options.Value)}-{Builds.Drawing}", pictures, draw, cancellationToken));
    }

    private static IResult DrawView(string id, BoardSide side, HttpRequest request, SolutionStore store, Pictures pictures, CancellationToken cancellationToken)
    {
        var options = MapQuery.Read(request.Query);
        if (options.Value is null) return Problem.Of(ProblemKind.InvalidQuery, options.Faults);
        if (store.Layers(id) is null) return SolutionRoutes.Missing(id);
        return Picture($"{id}-{side}-{MapQuery.Tag(options.Value)}-{Builds.Drawing}", pictures, () => View(store.Opened(id), side, options.Value), cancellationToken);
    }

    private static IResult CurrentArray(string id, string layer, SolutionStore store) => store.Open(id) is { Field.Currents: null }
        ? NoCurrents
        : Array(id, layer, store, "current-npy", "application/octet-stream", (solved, index) => Npy.Write(solved.Field.Currents!.LayerAmpsPerMm2[index], solved.Field.Grid.Rows, solved.Field.Grid.Columns));

    private static IResult LayerArray(string id, string layer, SolutionStore store) =>
        Array(id, layer, store, "npy", "application/octet-stream", (solved, index) => Npy.Write(Celsius(solved, index), solved.Field.Grid.Rows, solved.Field.Grid.Columns));

    private static IResult LayerText(string id, string layer, SolutionStore store) =>
        Array(id, layer, store, "csv", "text/csv", (solved, index) => Csv.Write(Celsius(solved, index), solved.Field.Grid.Columns));

    private static IResult Array(string id, string layer, SolutionStore store, string tag, string contentType, Func<SolvedBoard, int, byte[]> write) =>
        OfLayer(id, layer, store, write, (index, make) => new Immutable($"{id}-{index}-{tag}", contentType, make));

    private static Immutable Picture(string tag, Pictures pictures, Func<byte[]> draw, CancellationToken cancellationToken) => new(tag, "image/png", () => pictures.Draw(tag, draw, cancellationToken));

    /// <summary>Something made of one layer. The fields are opened only where it is made: what the client has already, or what was drawn lately, needs none.</summary>
    private static IResult OfLayer(string id, string layer, SolutionStore store, Func<SolvedBoard, int, byte[]> make, Func<int, Func<byte[]>, IResult> send)
    {
        if (store.Layers(id) is not { } layers) return SolutionRoutes.Missing(id);
        int index = LayerName.Find(layers, layer);
        return index < 0 ? LayerName.Missing(layers, layer) : send(index, () => make(store.Opened(id), index));
    }

    private static byte[] View(SolvedBoard solved, BoardSide side, MapOptions options) => CameraView.Draw(solved.Board, solved.Field, side, options);

    private static Problem NoCurrents => Problem.NotFound("The conditions of this solution have no `currents`.");

    private static float[] Celsius(SolvedBoard solved, int layer) => solved.Field.RowCelsius[solved.Board.Layers[layer].Row];
}
