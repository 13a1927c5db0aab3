namespace HeatSpread.Boards;

/// <summary>Points in and out of polygons, by the even-odd rule.</summary>
internal static class PointInRing
{
    public static bool RayCrosses(Point p, Point a, Point b) =>
        a.Y > p.Y != b.Y > p.Y && p.X < a.X + (p.Y - a.Y) / (b.Y - a.Y) * (b.X - a.X);

    public static bool Encloses(Polygon polygon, Point p)
    {
        bool inside = false;
        foreach (var ring in polygon.Rings)
            for (int i = 0; i < ring.Count; i++)
                inside ^= RayCrosses(p, ring[i], ring[i + 1 < ring.Count ? i + 1 : 0]);
        return inside;
    }

    /// <summary>A point inside: the middle of the widest stretch of a level line that passes no vertex.</summary>
    public static Point InnerPoint(Polygon polygon)
    {
        double y = LevelBetweenVertices(polygon);
        var crossings = new List<double>();
        foreach (var ring in polygon.Rings)
        {
            for (int i = 0; i < ring.Count; i++)
            {
                Point a = ring[i], b = ring[i + 1 < ring.Count ? i + 1 : 0];
                if (a.Y > y != b.Y > y) crossings.Add(a.X + (y - a.Y) / (b.Y - a.Y) * (b.X - a.X));
            }
        }
        crossings.Sort();
        var (left, right) = Enumerable.Range(0, crossings.Count / 2).Select(i => (crossings[2 * i], crossings[2 * i + 1])).MaxBy(span => span.Item2 - span.Item1);
        return new Point((left + right) / 2, y);
    }

    /// <summary>The middle of the widest gap between the heights of vertices.</summary>
    private static double LevelBetweenVertices(Polygon polygon)
    {
        double[] heights = [.. polygon.Rings.SelectMany(ring => ring).Select(p => p.Y)];
        Array.Sort(heights);
        int widest = Enumerable.Range(0, heights.Length - 1).MaxBy(i => heights[i + 1] - heights[i]);
        return (heights[widest] + heights[widest + 1]) / 2;
    }
}
