namespace HeatSpread.Boards;

/// <summary>Answers what lies on a board. What is off it by no more than the tolerance is on it. Its polygons lie apart.</summary>
internal sealed class OutlineIndex(Region outline, double tolerance)
{
    private readonly EdgeSlabs[] _polygons = [.. outline.Polygons.Select(polygon => new EdgeSlabs(polygon))];

    public bool Holds(Point p) => Array.Exists(_polygons, polygon => Holds(polygon, p));

    /// <summary>A point of a region that is off the board; null where all of it is on it.</summary>
    public Point? FirstOutside(Region region)
    {
        foreach (var polygon in region.Polygons)
        {
            var home = Array.Find(_polygons, candidate => Holds(candidate, polygon.Outer[0]));
            if (home is null) return polygon.Outer[0];
            if (FirstOutside(home, polygon) is { } outside) return outside;
        }
        return null;
    }

    /// <summary>Whether any of a region is on the board.</summary>
    public bool Overlaps(Region region) => region.Polygons.Any(polygon => Array.Exists(_polygons, board => Overlap(board, polygon)));

    private bool Holds(EdgeSlabs board, Point p) => board.Encloses(p) || board.IsNear(p, tolerance);

    private Point? FirstOutside(EdgeSlabs board, Polygon polygon)
    {
        foreach (var p in polygon.Outer)
            if (!Holds(board, p)) return p;
        var box = polygon.Bounds.Grow(tolerance);
        var near = board.Within(box).ToList();
        if (near.Count == 0) return null;
        for (int i = 0; i < polygon.Outer.Count; i++)
            if (FirstOutside(board, near, polygon.Outer[i], polygon.Outer[(i + 1) % polygon.Outer.Count]) is { } outside) return outside;
        foreach (var (p, _) in near)
            if (PointInRing.Encloses(polygon, p) && !IsNearRings(polygon, p)) return p; // an edge or opening of the board lies inside
        var inner = PointInRing.InnerPoint(polygon);
        return Holds(board, inner) ? null : inner;
    }

    /// <summary>A point of a segment, whose ends are on the board, that is off it.</summary>
    private Point? FirstOutside(EdgeSlabs board, List<(Point From, Point To)> near, Point a, Point b)
    {
        var cuts = new List<double> { 0, 1 };
        foreach (var (c, d) in near)
        {
            double dx = b.X - a.X, dy = b.Y - a.Y, ex = d.X - c.X, ey = d.Y - c.Y, determinant = dx * ey - dy * ex;
            if (determinant == 0) continue;
            double t = ((c.X - a.X) * ey - (c.Y - a.Y) * ex) / determinant, u = ((c.X - a.X) * dy - (c.Y - a.Y) * dx) / determinant;
            if (t is > 0 and < 1 && u is >= 0 and <= 1) cuts.Add(t);
        }
        cuts.Sort();
        for (int i = 0; i + 1 < cuts.Count; i++)
        {
            double t = (cuts[i] + cuts[i + 1]) / 2;
            var middle = new Point(a.X + t * (b.X - a.X), a.Y + t * (b.Y - a.Y));
            if (!Holds(board, middle)) return middle;
        }
        return null;
    }

    private bool IsNearRings(Polygon polygon, Point p) =>
        polygon.Rings.Any(ring => Enumerable.Range(0, ring.Count).Any(i => Orientation.Distance(p, ring[i], ring[(i + 1) % ring.Count]) <= tolerance));

    private static bool Overlap(EdgeSlabs board, Polygon polygon)
    {
        if (polygon.Outer.Any(board.Encloses) || board.Encloses(PointInRing.InnerPoint(polygon))) return true;
        return board.Within(polygon.Bounds).Any(edge => PointInRing.Encloses(polygon, edge.From) || CrossesAny(polygon, edge.From, edge.To));
    }

    private static bool CrossesAny(Polygon polygon, Point a, Point b) => polygon.Rings.Any(ring => Enumerable.Range(0, ring.Count).Any(i =>
    {
        Point c = ring[i], d = ring[(i + 1) % ring.Count];
        return Orientation.Of(a, b, c) * Orientation.Of(a, b, d) < 0 && Orientation.Of(c, d, a) * Orientation.Of(c, d, b) < 0;
    }));
}
