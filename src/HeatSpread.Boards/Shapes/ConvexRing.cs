namespace HeatSpread.Boards;

/// <summary>Tells at one look that a ring cannot cross itself, which spares most rings of a layout the sweep.</summary>
internal static class ConvexRing
{
    /// <summary>Whether all turns go strictly the same way and the ring goes round once.</summary>
    public static bool IsStrictlyConvex(IReadOnlyList<Point> ring)
    {
        if (ring.Count < 3) return false;
        Point before = ring[^2], here = ring[^1];
        int turn = 0, reversals = 0;
        foreach (var next in ring)
        {
            int side = Orientation.Of(before, here, next);
            if (side == 0 || side == -turn) return false;
            turn = side;
            if (RunsForward(before, here) != RunsForward(here, next)) reversals++;
            (before, here) = (here, next);
        }
        return reversals == 2; // a ring that goes round twice reverses four times
    }

    private static bool RunsForward(Point from, Point to) => from.X < to.X || (from.X == to.X && from.Y < to.Y);
}
