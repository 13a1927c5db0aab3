using HeatSpread.Boards;

namespace HeatSpread.Import.Shapes;

/// <summary>Points in polygons.</summary>
internal static class Places
{
    /// <summary>By the even-odd rule; a point on the ring may be either.</summary>
    public static bool IsInside(IReadOnlyList<Point> ring, Point p)
    {
        bool inside = false;
        for (int i = 0, j = ring.Count - 1; i < ring.Count; j = i++)
        {
            var (a, b) = (ring[i], ring[j]);
            if (a.Y > p.Y != b.Y > p.Y && p.X < a.X + (b.X - a.X) * (p.Y - a.Y) / (b.Y - a.Y)) inside = !inside;
        }
        return inside;
    }

    public static bool IsInside(Region region, Point p) => region.Polygons.Any(polygon => IsInside(polygon.Outer, p) && !polygon.Holes.Any(hole => IsInside(hole, p)));

    /// <summary>A place well inside a polygon.</summary>
    public static Point Inside(Polygon polygon)
    {
        var place = Overlay.ToNts(polygon).InteriorPoint;
        return new Point(place.X, place.Y);
    }
}
