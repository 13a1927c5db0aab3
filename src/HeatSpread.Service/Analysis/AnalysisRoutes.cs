using HeatSpread.Boards;
using HeatSpread.Insight;
using HeatSpread.Rendering;
using HeatSpread.Service.OpenApi;
using HeatSpread.Service.Problems;
using HeatSpread.Service.Solutions;
using HeatSpread.Thermal;

namespace HeatSpread.Service.Analysis;

/// <summary>What more a solution tells when it is solved again: how its parts heat each other, and where copper helps.</summary>
internal static class AnalysisRoutes
{
    private const double SquareMetersPerMm2 = 1e-6;

    public static void MapAnalysis(this IEndpointRouteBuilder routes)
    {
        var group = routes.MapGroup("/v1/solutions/{id}").WithTags("Solutions");
        group.MapGet("influence", Influence).WithName("readInfluence").WithSummary("Kelvin at each part for a watt in each part").WithMetadata(QueryOf.Influence).Produces<InfluenceAnswer>().ProducesProblems(400, 404, 429, 500);
        group.MapGet("layers/{layer}/benefit.png", DrawBenefit).WithName("drawBenefit").WithSummary("Map of where copper on a layer would cool a part").WithMetadata(QueryOf.BenefitMap).ProducesBytes("image/png").ProducesProblems(400, 404, 429, 500);
        group.MapGet("layers/{layer}/benefit.npy", BenefitArray).WithName("benefitArray").WithSummary("Kelvin saved at a part per mm² of copper added on a layer, as an NPY array of float32")
            .WithMetadata(QueryOf.Benefit).ProducesBytes("application/octet-stream").ProducesProblems(400, 404, 429, 500);
        group.MapGet("layers/{layer}/rise.npy", RiseArray).WithName("riseArray").WithSummary("Kelvin everywhere on a layer for a watt more in a part, as an NPY array of float32")
            .WithDescription("Exact where `influence` says `linear`, else along the tangent of the solved state. NaN outside the board.")
            .WithMetadata(QueryOf.Rise).ProducesBytes("application/octet-stream").ProducesProblems(400, 404, 429, 500);
    }

    private static async Task<IResult> Influence(string id, HttpRequest request, SolutionStore store, SolvedNetworks networks, CancellationToken cancellationToken)
    {
        var reader = new QueryReader(request.Query);
        string? wanted = reader.Text("parts");
        if (store.Case(id) is not { } solution) return SolutionRoutes.Missing(id);
        var board = solution.Layout.Board;
        string[] ids = wanted?.Split(',') ?? [.. board.Parts.Select(part => part.Id)];
        foreach (string unknown in ids.Where(part => IndexOf(board, part) < 0)) reader.Fault("parts", "must be ids of parts, with commas between", unknown);
        var faults = reader.Faults();
        if (faults.Count > 0) return Problem.Of(ProblemKind.InvalidQuery, faults);
        int[] parts = [.. ids.Distinct().Select(part => IndexOf(board, part))];
        var matrix = await networks.Ask(solution, network => InfluenceMatrix.Of(network, parts, cancellationToken), cancellationToken);
        return TypedResults.Ok(InfluenceAnswer.Of(id, [.. parts.Select(part => board.Parts[part])], matrix));
    }

    private static IResult DrawBenefit(string id, string layer, HttpRequest request, SolutionStore store, SolvedNetworks networks, Pictures pictures, CancellationToken cancellationToken)
    {
        var options = MapQuery.ReadBenefit(request.Query);
        if (options.Value is not var (part, map)) return Problem.Of(ProblemKind.InvalidQuery, options.Faults);
        return OfLayer(id, layer, part, store, networks, $"benefit-png-{MapQuery.Tag(map)}-{Builds.Drawing}", "image/png", Benefit, (solution, index, benefit) =>
            BenefitPicture.Draw(solution.Layout.Board, solution.Grid, benefit, index, part, map), pictures, cancellationToken);
    }

    private static IResult BenefitArray(string id, string layer, HttpRequest request, SolutionStore store, SolvedNetworks networks, CancellationToken cancellationToken)
    {
        var (part, refused) = ReadPart(request);
        if (part is null) return refused!;
        return OfLayer(id, layer, part, store, networks, "benefit-npy", "application/octet-stream", Benefit, (solution, _, benefit) => Npy.Write(benefit, solution.Grid.Rows, solution.Grid.Columns), pictures: null, cancellationToken);
    }

    private static IResult RiseArray(string id, string layer, HttpRequest request, SolutionStore store, SolvedNetworks networks, CancellationToken cancellationToken)
    {
        var (part, refused) = ReadPart(request);
        if (part is null) return refused!;
        return OfLayer(id, layer, part, store, networks, "rise-npy", "application/octet-stream", Rise, (solution, _, rise) => Npy.Write(rise, solution.Grid.Rows, solution.Grid.Columns), pictures: null, cancellationToken);
    }

    private static (string? Part, Problem? Problem) ReadPart(HttpRequest request)
    {
        var reader = new QueryReader(request.Query);
        string? part = reader.Text("part");
        if (part is null) reader.Fault("part", "must name a part", "nothing");
        var faults = reader.Faults();
        return faults.Count > 0 ? (null, Problem.Of(ProblemKind.InvalidQuery, faults)) : (part, null);
    }

    /// <summary>K saved at the part per mm² of copper.</summary>
    private static float[] Benefit(SolvedNetwork network, int layer, int part, CancellationToken cancellationToken) =>
        [.. BenefitMap.Of(network, layer, network.Adjoint(network.HottestOf(part), cancellationToken), cancellationToken).Select(perSquareMeter => (float)(perSquareMeter * SquareMetersPerMm2))];

    /// <summary>K for a watt in the part: the network is symmetric, so the adjoint of the place where its heat enters is that field.</summary>
    private static float[] Rise(SolvedNetwork network, int layer, int part, CancellationToken cancellationToken)
    {
        double[] all = network.Adjoint(network.HeatEntryOf(part), cancellationToken);
        var row = network.RowOf(network.Board.Layers[layer].Row, all);
        var share = network.Raster.BoardShare;
        var rise = new float[row.Length];
        for (int cell = 0; cell < rise.Length; cell++) rise[cell] = share[cell] > 0 ? (float)row[cell] : float.NaN;
        return rise;
    }

    private static IResult OfLayer(
        string id,
        string layer,
        string part,
        SolutionStore store,
        SolvedNetworks networks,
        string tag,
        string contentType,
        Func<SolvedNetwork, int, int, CancellationToken, float[]> read,
        Func<StoredCase, int, float[], byte[]> make,
        Pictures? pictures,
        CancellationToken cancellationToken)
    {
        if (store.Case(id) is not { } solution) return SolutionRoutes.Missing(id);
        var board = solution.Layout.Board;
        int index = LayerName.Find(board, layer), partIndex = IndexOf(board, part);
        if (index < 0) return LayerName.Missing(board, layer);
        if (partIndex < 0) return Problem.Of(ProblemKind.InvalidQuery, [new Fault("/part", $"`part` must be the id of a part; found {part}.")]);
        string whole = $"{id}-{index}-{partIndex}-{tag}";
        return new Immutable(whole, contentType, () => pictures is null ? Make() : pictures.Make(whole, Make));

        async Task<byte[]> Make() => make(solution, index, await networks.Ask(solution, network => read(network, index, partIndex, cancellationToken), cancellationToken));
    }

    private static int IndexOf(Board board, string id)
    {
        for (int part = 0; part < board.Parts.Count; part++)
        {
            if (board.Parts[part].Id == id) return part;
        }
        return -1;
    }
}
