using HeatSpread.Boards;
using HeatSpread.Thermal;

namespace HeatSpread.Insight;

/// <param name="Reach">From the pad's middle, m.</param>
/// <param name="Area">What is added, m.</param>
/// <param name="SquareMeters">Its area.</param>
/// <param name="Edit">That adds it.</param>
internal sealed record GrownPour(double Reach, Region Area, double SquareMeters, BoardEdit Edit);

/// <param name="OwnArea">Copper of the net joined to the pad within reach, m².</param>
/// <param name="Edits">Smaller first.</param>
internal sealed record PourGrowthFound(double OwnArea, IReadOnlyList<GrownPour> Edits);

/// <summary>
/// Larger pours about a pad: over bare laminate and over the layer's widest pour of another net. Tracks, vias, pads and the other pours keep their copper and a clearance.
/// </summary>
internal static class PourGrowth
{
    /// <summary>Between the larger pour and what stays, m.</summary>
    public const double Clearance = 0.25e-3;

    /// <summary>What is narrower is not added, m.</summary>
    private const double LeastWidth = 0.8e-3;

    /// <summary>Less is not worth an edit, m².</summary>
    private const double LeastArea = 10e-6;

    private const double FinestPoint = 0.12e-3;

    private static readonly double[] shares = [0.6, 1];

    public static PourGrowthFound About(Board board, int layer, Terminal terminal, double reach, BoardGrid grid, CancellationToken cancellationToken)
    {
        var box = terminal.Pad.Bounds;
        var middle = new Point((box.MinX + box.MaxX) / 2, (box.MinY + box.MaxY) / 2);
        int fine = Math.Clamp((int)Math.Ceiling(Math.Max(grid.PitchX, grid.PitchY) / FinestPoint), 1, 12);
        var (left, lower) = grid.CellAt(new(middle.X - reach, middle.Y - reach));
        var (right, upper) = grid.CellAt(new(middle.X + reach, middle.Y + reach));
        var window = FineWindow.Over(left, lower, right, upper, grid, fine);
        var points = window.Points;
        int[] owners = CopperOwners.At(board, layer, points, cancellationToken);
        bool[] inReach = Within(points, middle, reach), own = [.. owners.Select(owner => owner == terminal.Net)];
        bool[] joined = PointArea.JoinedTo(PadPoints(terminal, points), own, points);
        double pointArea = points.CellArea, ownArea = pointArea * joined.Where((is_, i) => is_ && inReach[i]).Count();

        int widest = WidestPour(owners, terminal.Net);
        int[] drawn = CopperOwners.At(board.WithTracksOnly(), layer, points, cancellationToken);
        bool[] stays = [.. owners.Select((owner, i) => owner != CopperOwners.NoCopper && owner != terminal.Net && (owner != widest || drawn[i] == owner))];
        bool[] near = PointArea.Grown(stays, points, Clearance);
        bool[] board_ = Inside(board, points);
        var edits = new List<GrownPour>();
        foreach (double share in shares)
        {
            double to = share * reach;
            bool[] within = Within(points, middle, to);
            bool[] allowed = [.. within.Select((inside, i) => inside && board_[i] && !near[i])];
            bool[] free = PointArea.Opened(allowed, points, LeastWidth / 2);
            bool[] region = PointArea.JoinedTo(joined, [.. free.Select((inside, i) => inside || joined[i])], points);
            bool[] added = [.. region.Select((inside, i) => inside && !joined[i] && owners[i] != terminal.Net)];
            double area = pointArea * added.Count(inside => inside);
            // the pour's own edge is taken in, so that the two are one
            bool[] shape = PointArea.Grown(added, points, 2 * Math.Max(points.PitchX, points.PitchY));
            for (int i = 0; i < shape.Length; i++) shape[i] &= added[i] || joined[i];
            if (area < LeastArea || PointArea.Outlined(shape, points) is not { } outline) continue;
            var feature = new CopperFeature { Layer = layer, Net = terminal.Net, Area = outline, Clearance = Clearance };
            edits.Add(new(to, outline, area, new([feature], [])));
        }
        return new(ownArea, edits);
    }

    /// <summary>The foreign net with most copper in the window; a value that no point has where there is none.</summary>
    private static int WidestPour(int[] owners, int net) =>
        owners.Where(owner => owner >= 0 && owner != net).GroupBy(owner => owner).OrderByDescending(group => group.Count()).Select(group => group.Key).DefaultIfEmpty(int.MinValue).First();

    private static bool[] Within(BoardGrid points, Point middle, double reach) =>
        [.. Enumerable.Range(0, points.CellCount).Select(i => GapPath.Distance(points.Centre(i % points.Columns, i / points.Columns), middle) <= reach)];

    private static bool[] PadPoints(Terminal terminal, BoardGrid points)
    {
        var box = terminal.Pad.Bounds;
        var inside = new bool[points.CellCount];
        var (left, lower) = points.CellAt(new(box.MinX, box.MinY));
        var (right, upper) = points.CellAt(new(box.MaxX, box.MaxY));
        for (int row = lower; row <= upper; row++)
        {
            for (int column = left; column <= right; column++) inside[row * points.Columns + column] = PartAt.Contains(terminal.Pad, points.Centre(column, row));
        }
        return inside;
    }

    /// <summary>Points of the board at least a clearance from its rim.</summary>
    private static bool[] Inside(Board board, BoardGrid points)
    {
        bool[] outside = [.. Enumerable.Range(0, points.CellCount).Select(i => !PartAt.Contains(board.Outline, points.Centre(i % points.Columns, i / points.Columns)))];
        return [.. PointArea.Grown(outside, points, 2 * Clearance).Select(near => !near)];
    }
}
