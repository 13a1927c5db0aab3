using HeatSpread.Boards;

namespace HeatSpread.Import.Shapes;

/// <summary>Plain figures about the origin, counter-clockwise, in mm.</summary>
internal static class Outlines
{
    public static IReadOnlyList<Point> Rectangle(double width, double height) => Rectangle(-width / 2, -height / 2, width / 2, height / 2);

    public static IReadOnlyList<Point> Rectangle(double minX, double minY, double maxX, double maxY) =>
        [Round(minX, minY), Round(maxX, minY), Round(maxX, maxY), Round(minX, maxY)];

    /// <param name="vertices">3 or more.</param>
    /// <param name="diameter">Of the circle through the vertices.</param>
    /// <param name="degrees">Of the first vertex, counter-clockwise from the right.</param>
    public static IReadOnlyList<Point> RegularPolygon(int vertices, double diameter, double degrees)
    {
        var ring = new Point[vertices];
        for (int i = 0; i < vertices; i++)
        {
            var (sin, cos) = Math.SinCos((degrees + 360.0 * i / vertices) * Math.PI / 180);
            ring[i] = Round(diameter / 2 * cos, diameter / 2 * sin);
        }
        return ring;
    }

    /// <summary>The rectangle of a line with square-cut ends at its two points.</summary>
    public static IReadOnlyList<Point> Line(Point from, Point to, double width)
    {
        double length = Arcs.Distance(from, to);
        if (length == 0) return [];
        double nx = -(to.Y - from.Y) / length * width / 2, ny = (to.X - from.X) / length * width / 2;
        return [Round(from.X - nx, from.Y - ny), Round(to.X - nx, to.Y - ny), Round(to.X + nx, to.Y + ny), Round(from.X + nx, from.Y + ny)];
    }

    /// <summary>Convex hull, counter-clockwise (Andrew's monotone chain); fewer than three points where there is no area.</summary>
    public static IReadOnlyList<Point> ConvexHull(IEnumerable<Point> points)
    {
        Point[] sorted = [.. points.Distinct().OrderBy(p => p.X).ThenBy(p => p.Y)];
        if (sorted.Length < 3) return sorted;
        var hull = new List<Point>(sorted.Length);
        AddChain(hull, sorted, 0);
        int lower = hull.Count;
        Array.Reverse(sorted);
        AddChain(hull, sorted, lower - 1);
        hull.RemoveAt(hull.Count - 1);
        return hull;
    }

    /// <summary>The polygon of a stroke of round ends with one or two points.</summary>
    public static IReadOnlyList<Point> Capsule(Point from, Point to, double width)
    {
        if (from == to) return Arcs.Circle(from, width);
        var sides = Line(from, to, width);
        var ring = new List<Point> { sides[0], sides[1] };
        Arcs.Append(ring, sides[1], sides[2], to, Math.PI);
        ring.Add(sides[3]);
        Arcs.Append(ring, sides[3], sides[0], from, Math.PI);
        ring.RemoveAt(ring.Count - 1);
        return ring;
    }

    private static void AddChain(List<Point> hull, Point[] points, int floor)
    {
        foreach (var p in points.Skip(floor > 0 ? 1 : 0))
        {
            while (hull.Count - floor >= 2 && Cross(hull[^2], hull[^1], p) <= 0) hull.RemoveAt(hull.Count - 1);
            hull.Add(p);
        }
    }

    private static double Cross(Point a, Point b, Point c) => (b.X - a.X) * (c.Y - a.Y) - (c.X - a.X) * (b.Y - a.Y);

    private static Point Round(double x, double y) => new(Lengths.Round(x), Lengths.Round(y));
}
