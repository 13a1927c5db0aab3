using HeatSpread.Boards;

namespace HeatSpread.Insight;

/// <summary>Tells which part lies at a point of the plan.</summary>
internal static class PartAt
{
    /// <summary>
    /// The part with a pad there, else that with the smallest body over it (a shield can holds other parts). The box about
    /// its pads stands for the body of a part that has none. Both sides count: heat shows through the board.
    /// </summary>
    public static Part? Find(Board board, Point at) =>
        board.Parts.FirstOrDefault(part => part.Terminals.Any(terminal => Contains(terminal.Pad, at)))
        ?? board.Parts.Where(part => Covers(part, at)).MinBy(BodyArea);

    /// <summary>Whether a point is inside one of the region's polygons.</summary>
    internal static bool Contains(Region region, Point at) => region.Polygons.Any(polygon => polygon.Rings.Count(ring => Crosses(ring, at)) % 2 == 1);

    /// <summary>Whether a ray to the right crosses the ring an odd number of times.</summary>
    private static bool Crosses(IReadOnlyList<Point> ring, Point at)
    {
        bool odd = false;
        var a = ring[^1];
        foreach (var b in ring)
        {
            if (a.Y > at.Y != b.Y > at.Y && at.X < a.X + (at.Y - a.Y) / (b.Y - a.Y) * (b.X - a.X)) odd = !odd;
            a = b;
        }
        return odd;
    }

    private static bool Covers(Part part, Point at)
    {
        if (part.Body is not null) return Contains(part.Body, at);
        return PadBox(part).Holds(at);
    }

    private static double BodyArea(Part part) => part.Body?.Polygons.Sum(polygon => polygon.Area) ?? PadBox(part).Width * PadBox(part).Height;

    private static Box PadBox(Part part) => part.Terminals.Aggregate(Box.Empty, (box, terminal) => box.Include(terminal.Pad.Bounds));
}
