using HeatSpread.Boards;
using HeatSpread.Thermal;

namespace HeatSpread.Insight;

/// <param name="Reach">From the pad's middle, m.</param>
/// <param name="Area">What is added, m.</param>
/// <param name="SquareMeters">Its area.</param>
/// <param name="Edit">That adds it.</param>
internal sealed record GrownPour(double Reach, Region Area, double SquareMeters, BoardEdit Edit);

/// <param name="OwnArea">Copper of the net joined to the pad within reach, m².</param>
/// <param name="Edits">Smaller first; empty where the copper is large enough.</param>
internal sealed record PourGrowthFound(double OwnArea, IReadOnlyList<GrownPour> Edits);

/// <summary>
/// Larger pours about a pad: over bare laminate and over the layer's widest pour of another net, wherever <see cref="CopperRoom"/> has room for them when that pour has given way. Tracks, vias, pads
/// and the other pours keep their copper.
/// </summary>
internal static class PourGrowth
{
    /// <summary>What is narrower is not added, m.</summary>
    private const double LeastWidth = 0.8e-3;

    /// <summary>Less is not worth an edit, m².</summary>
    private const double LeastArea = 10e-6;

    private const double FinestPoint = 0.12e-3;

    private static readonly double[] shares = [0.6, 1];

    /// <param name="board">The board.</param>
    /// <param name="layer">Index into its layers.</param>
    /// <param name="terminal">With a net.</param>
    /// <param name="reach">From the pad's middle, m.</param>
    /// <param name="mostOwn">Own copper, m², from which on nothing is grown.</param>
    /// <param name="grid">Of the answer.</param>
    /// <param name="cancellationToken">Ends it.</param>
    public static PourGrowthFound About(Board board, int layer, Terminal terminal, double reach, double mostOwn, BoardGrid grid, CancellationToken cancellationToken)
    {
        var middle = terminal.Pad.Bounds.Centre;
        int fine = Math.Clamp((int)Math.Ceiling(Math.Max(grid.PitchX, grid.PitchY) / FinestPoint), 1, 12);
        double seen = reach + CopperRoom.MostClearance(board, layer);
        var (left, lower) = grid.CellAt(new(middle.X - seen, middle.Y - seen));
        var (right, upper) = grid.CellAt(new(middle.X + seen, middle.Y + seen));
        var points = FineWindow.Over(left, lower, right, upper, grid, fine).Points;
        int[] owners = CopperOwners.At(board, layer, points, cancellationToken);
        bool[] own = [.. owners.Select(owner => owner == terminal.Net)], joined = PointArea.JoinedTo(PointArea.Inside(terminal.Pad, points), own, points);
        double ownArea = points.CellArea * Count(Within(joined, points, middle, reach));
        if (ownArea > mostOwn) return new(ownArea, []);

        int[] staying = WithoutWidestPour(board, layer, owners, terminal.Net, points, cancellationToken);
        bool[] room = CopperRoom.For(board, layer, terminal.Net, staying, points, rerouted: -1, cancellationToken);
        bool[] free = PointArea.Opened(Within(room, points, middle, reach), points, LeastWidth / 2);
        var edits = new List<GrownPour>();
        foreach (double share in shares)
        {
            bool[] region = Within(free, points, middle, share * reach);
            for (int i = 0; i < region.Length; i++) region[i] |= joined[i];
            bool[] added = PointArea.JoinedTo(joined, region, points);
            for (int i = 0; i < added.Length; i++) added[i] &= !own[i];
            double area = points.CellArea * Count(added);
            if (area < LeastArea) continue;
            // the pour's own edge is taken in, so that the two are one
            bool[] shape = PointArea.Grown(added, points, 2 * Math.Max(points.PitchX, points.PitchY));
            for (int i = 0; i < shape.Length; i++) shape[i] &= added[i] || joined[i];
            if (PointArea.Outlined(shape, points) is not { } outline) continue;
            var feature = new CopperFeature { Layer = layer, Net = terminal.Net, Area = outline, Clearance = CopperRoom.ClearanceOf(board, layer, terminal.Net) };
            edits.Add(new(share * reach, outline, area, new([feature], [])));
        }
        return new(ownArea, edits);
    }

    /// <summary>The copper with the foreign net's taken off that has most of it, but for its tracks, vias and pads.</summary>
    private static int[] WithoutWidestPour(Board board, int layer, int[] owners, int net, BoardGrid points, CancellationToken cancellationToken)
    {
        var count = new Dictionary<int, int>();
        foreach (int owner in owners)
        {
            if (owner >= 0 && owner != net) count[owner] = count.GetValueOrDefault(owner) + 1;
        }
        if (count.Count == 0) return owners;
        int widest = count.MaxBy(pair => pair.Value).Key;
        int[] drawn = CopperOwners.At(board.WithTracksOnly(), layer, points, cancellationToken);
        return [.. owners.Select((owner, i) => owner == widest && drawn[i] != widest ? CopperOwners.NoCopper : owner)];
    }

    private static int Count(bool[] set) => set.Count(inside => inside);

    /// <summary>The points of a set within a distance of a place.</summary>
    private static bool[] Within(bool[] set, BoardGrid points, Point middle, double reach)
    {
        var within = new bool[set.Length];
        for (int i = 0; i < within.Length; i++) within[i] = set[i] && GapPath.Distance(points.Centre(i % points.Columns, i / points.Columns), middle) <= reach;
        return within;
    }
}
