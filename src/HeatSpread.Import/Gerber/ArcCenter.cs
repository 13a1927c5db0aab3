using HeatSpread.Boards;
using HeatSpread.Import.Shapes;

namespace HeatSpread.Import.Gerber;

internal enum QuadrantMode
{
    /// <summary>Neither G74 nor G75 has been given.</summary>
    Unstated,
    Single,
    Multi,
}

/// <summary>Finds the centre and the sweep of a circular draw.</summary>
internal static class ArcCenter
{
    private const double QuarterTurn = Math.PI / 2 + 1e-3; // the ends of an arc of 90 degrees are rounded

    /// <param name="start">Current point.</param>
    /// <param name="end">Target.</param>
    /// <param name="offset">I and J.</param>
    /// <param name="clockwise">G02.</param>
    /// <param name="mode">G74 or G75.</param>
    /// <returns>Null where no arc fits (the caller draws a straight line), or for a single-quadrant arc from a point to itself.</returns>
    public static (Point Center, double Sweep)? Find(Point start, Point end, Point offset, bool clockwise, QuadrantMode mode)
    {
        var multi = Multi(start, end, offset, clockwise);
        if (mode == QuadrantMode.Multi) return multi;
        if (start == end) return mode == QuadrantMode.Unstated ? multi : null;
        var single = Single(start, end, offset, clockwise);
        if (mode == QuadrantMode.Single) return single;
        bool multiFits = multi is { } m && Mismatch(start, end, m.Center) <= (single is { } s ? Mismatch(start, end, s.Center) : double.MaxValue);
        return multiFits ? multi : single;
    }

    private static (Point Center, double Sweep)? Multi(Point start, Point end, Point offset, bool clockwise)
    {
        if (offset == default) return null;
        var center = new Point(start.X + offset.X, start.Y + offset.Y);
        return (center, Arcs.Sweep(start, end, center, clockwise));
    }

    /// <summary>I and J carry no sign: the centre is the one of four whose radii agree best and whose arc is a quarter turn at most.</summary>
    private static (Point Center, double Sweep)? Single(Point start, Point end, Point offset, bool clockwise)
    {
        (Point Center, double Sweep)? best = null;
        foreach (var (sx, sy) in new[] { (1, 1), (1, -1), (-1, 1), (-1, -1) })
        {
            var center = new Point(start.X + sx * Math.Abs(offset.X), start.Y + sy * Math.Abs(offset.Y));
            if (center == start) return null;
            double sweep = Arcs.Sweep(start, end, center, clockwise);
            if (Math.Abs(sweep) > QuarterTurn) continue;
            if (best is not { } b || Mismatch(start, end, center) < Mismatch(start, end, b.Center)) best = (center, sweep);
        }
        return best;
    }

    private static double Mismatch(Point start, Point end, Point center) => Math.Abs(Arcs.Distance(start, center) - Arcs.Distance(end, center));
}
