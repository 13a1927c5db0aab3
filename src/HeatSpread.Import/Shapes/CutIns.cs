using NetTopologySuite.Operation.Valid;
using Point = HeatSpread.Boards.Point;
using Polygon = HeatSpread.Boards.Polygon;

namespace HeatSpread.Import.Shapes;

/// <summary>
/// Contours that make holes by cut-ins: the way to a hole and the way back are the same edges in both directions. Without these edges the contour
/// falls into simple rings; that is much faster than cutting the plane, and pours of thousands of points are made like this.
/// </summary>
internal static class CutIns
{
    /// <summary>The polygon with holes that the contour paints; null where it is not of this kind.</summary>
    /// <param name="ring">Open, without repeated points.</param>
    public static Polygon? Open(List<Point> ring)
    {
        var rings = Split(ring);
        if (rings.Count < 2) return null;
        var sorted = rings.OrderByDescending(r => Math.Abs(Polygon.SignedArea(r))).ToList();
        double direction = Math.Sign(Polygon.SignedArea(sorted[0]));
        var holes = new List<IReadOnlyList<Point>>();
        foreach (var inner in sorted.Skip(1))
        {
            double area = Polygon.SignedArea(inner);
            if (Math.Abs(area) <= Overlay.LeastArea) continue;
            if (Math.Sign(area) == direction) return null; // winds twice, or lies outside: the general way knows
            holes.Add(inner);
        }
        var polygon = new Polygon(sorted[0], holes);
        return new IsValidOp(Overlay.ToNts(polygon)).IsValid ? polygon : null;
    }

    private static List<List<Point>> Split(List<Point> ring)
    {
        int count = ring.Count;
        var edges = new HashSet<(Point, Point)>(count);
        for (int i = 0; i < count; i++)
        {
            if (!edges.Add((ring[i], ring[(i + 1) % count]))) return []; // the same edge twice in one direction
        }
        bool IsSlit(int i) => edges.Contains((ring[(i + 1) % count], ring[i]));
        int start = Enumerable.Range(0, count).FirstOrDefault(i => !IsSlit(i) && IsSlit((i + count - 1) % count), -1);
        if (start < 0) return [];
        var open = new Dictionary<Point, List<Point>>(); // chains by the place where they want to go on
        var closed = new List<List<Point>>();
        List<Point>? chain = null;
        for (int k = 0; k <= count; k++)
        {
            int i = (start + k) % count;
            if (k < count && !IsSlit(i))
            {
                if (chain is null) open.Remove(ring[i], out chain);
                (chain ??= []).Add(ring[i]);
            }
            else if (chain is not null)
            {
                if (chain[0] == ring[i]) closed.Add(chain);
                else if (!open.TryAdd(ring[i], chain)) return [];
                chain = null;
            }
        }
        return open.Count == 0 && closed.TrueForAll(c => c.Count > 2) ? closed : [];
    }
}
