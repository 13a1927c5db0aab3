using System.Text.Json;
using System.Text.Json.Nodes;
using HeatSpread.Boards;
using HeatSpread.Rendering;
using HeatSpread.Service.OpenApi;
using HeatSpread.Service.Problems;
using HeatSpread.Service.Solutions;

namespace HeatSpread.Service.Viewing;

/// <summary>What a viewer needs beside the fields to draw a solution itself: the board's plan, whose copper lies where, the camera's view as numbers, the colours.</summary>
internal static class ViewingRoutes
{
    private const int PaletteSteps = 256;

    public static void MapViewing(this IEndpointRouteBuilder routes)
    {
        var group = routes.MapGroup("/v1/solutions/{id}").WithTags("Solutions");
        group.MapGet("plan", Plan).WithName("readPlan").WithSummary("The layout that was solved, without its copper, and the names of its nets by number").Produces<BoardPlanAnswer>().Produces(304).ProducesProblems(404, 500);
        group.MapGet("layers/{layer}/owners.npy", Owners).WithName("ownersArray").WithSummary("Whose copper lies where on a layer, as runs in an NPY array of int32")
            .WithDescription("`[run][4]`: row (0 at the lowest y), first column, column after the last, number of the net in `netNames` of the plan (-1: copper of no net). Where there is no run there is no copper. The points asked are the centres of the window's cells.")
            .WithMetadata(QueryOf.Owners).ProducesBytes("application/octet-stream").ProducesProblems(400, 404, 500);
        group.MapGet("views/top.npy", (string id, HttpRequest request, SolutionStore store) => Camera(id, BoardSide.Top, request, store))
            .WithName("topViewArray").WithSummary("What a thermal camera would show of the top, °C, as an NPY array of float32").WithDescription(CameraNote).WithMetadata(QueryOf.CameraField).ProducesBytes("application/octet-stream").ProducesProblems(400, 404, 500);
        group.MapGet("views/bottom.npy", (string id, HttpRequest request, SolutionStore store) => Camera(id, BoardSide.Bottom, request, store))
            .WithName("bottomViewArray").WithSummary("What a thermal camera would show of the bottom, °C, as an NPY array of float32").WithDescription(CameraNote).WithMetadata(QueryOf.CameraField).ProducesBytes("application/octet-stream").ProducesProblems(400, 404, 500);
        routes.MapGet("/v1/palettes", () => TypedResults.Ok(AllPalettes)).WithTags("Solutions").WithName("listPalettes").WithSummary("The colour scales of the maps").Produces<PaletteList>();
    }

    private const string CameraNote = "Over the outline's bounding box, row 0 at the lowest y, not mirrored on either side; NaN outside the board.";

    private static PaletteList AllPalettes { get; } = new(
        Palettes.Default, Palettes.Camera, Palettes.Difference, [.. Palettes.Names.Select(name => new PaletteAnswer(name, [.. Palettes.Colours(name, PaletteSteps).Select(colour => $"{colour:x6}")]))]);

    private static IResult Plan(string id, SolutionStore store)
    {
        if (store.Case(id) is not { } solution) return SolutionRoutes.Missing(id);
        return new Immutable($"{id}-plan", "application/json", () =>
        {
            var layout = JsonNode.Parse(solution.Layout.Canonical)!.AsObject();
            layout.Remove("copper");
            var plan = new BoardPlanAnswer(id, solution.Layout.Unit, [.. solution.Layout.Board.Nets.Select(net => net.Name)], JsonSerializer.SerializeToElement(layout, ServiceJson.Written.JsonNode));
            return JsonSerializer.SerializeToUtf8Bytes(plan, ServiceJson.Written.BoardPlanAnswer);
        });
    }

    private static IResult Owners(string id, string layer, HttpRequest request, SolutionStore store, CancellationToken cancellationToken)
    {
        var query = OwnersQuery.Read(request.Query);
        if (query.Value is null) return Problem.Of(ProblemKind.InvalidQuery, query.Faults);
        if (store.Open(id) is not { } solved) return SolutionRoutes.Missing(id);
        int index = LayerName.Find(solved.Board, layer);
        if (index < 0) return LayerName.Missing(solved.Board, layer);
        return new Immutable($"{id}-{index}-owners-{query.Value.Tag}", "application/octet-stream", () =>
        {
            int[] runs = OwnerRuns.Of(solved.Board, index, query.Value.Window(solved.Board.Outline.Bounds), cancellationToken);
            return Npy.Write(runs, runs.Length / OwnerRuns.Fields, OwnerRuns.Fields);
        });
    }

    private static IResult Camera(string id, BoardSide side, HttpRequest request, SolutionStore store)
    {
        var reader = new QueryReader(request.Query);
        int columns = reader.Whole("columns", 800, 1, 4096);
        if (reader.Faults() is { Count: > 0 } faults) return Problem.Of(ProblemKind.InvalidQuery, faults);
        if (store.Open(id) is not { } solved) return SolutionRoutes.Missing(id);
        return new Immutable($"{id}-{side}-{columns}-npy-{Builds.Drawing}", "application/octet-stream", () =>
        {
            var (celsius, across, rows) = CameraView.Read(solved.Board, solved.Field, side, columns);
            return Npy.Write(celsius, rows, across);
        });
    }
}

/// <param name="Solution">Id.</param>
/// <param name="Unit">Of the layout's plan coordinates: <c>mm</c> or <c>inch</c>.</param>
/// <param name="NetNames">By number, as <c>owners.npy</c> counts them.</param>
/// <param name="Layout">In the form of a layout, without <c>copper</c>.</param>
internal sealed record BoardPlanAnswer(string Solution, string Unit, IReadOnlyList<string> NetNames, JsonElement Layout);

/// <param name="Temperature">Name of the usual scale for temperatures: safe for the colour-blind.</param>
/// <param name="Camera">Name of the usual scale for camera views.</param>
/// <param name="Difference">Name of the scale for differences, 0 in the middle.</param>
/// <param name="Palettes">All.</param>
internal sealed record PaletteList(string Temperature, string Camera, string Difference, IReadOnlyList<PaletteAnswer> Palettes);

/// <param name="Name">As <c>palette</c> in a map's query.</param>
/// <param name="Colours">From the lower end to the upper, evenly spaced to the eye: rrggbb.</param>
internal sealed record PaletteAnswer(string Name, IReadOnlyList<string> Colours);
