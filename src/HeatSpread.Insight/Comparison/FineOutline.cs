using HeatSpread.Boards;
using HeatSpread.Thermal;

namespace HeatSpread.Insight.Comparison;

/// <summary>
/// Polygons about the fine points of cells, to an eighth of a cell. The border is followed point by point, the set on its left, and then straightened: no vertex that is left out lies farther
/// from the line than <see cref="Slack"/> fine lengths (Douglas and Peucker, Cartographica 10, 1973, 112).
/// </summary>
internal static class FineOutline
{
    private const int Fine = 8;
    private const double Slack = 0.8;

    /// <param name="cells">Cells with their fine points, bit 8 · row + column; one cell may come several times.</param>
    /// <param name="grid">Of the cells.</param>
    /// <returns>m; outer rings counter-clockwise, holes clockwise.</returns>
    public static Region Of(IEnumerable<(int Cell, ulong Fine)> cells, BoardGrid grid)
    {
        var points = new Dictionary<int, ulong>();
        foreach (var (cell, fine) in cells) points[cell] = points.GetValueOrDefault(cell) | fine;
        var rings = Rings(Edges(points, grid)).Select(Straighten).Where(ring => ring.Count >= 3).ToList();
        Point InMeters((int X, int Y) p) => new(grid.Origin.X + p.X * grid.PitchX / Fine, grid.Origin.Y + p.Y * grid.PitchY / Fine);
        List<IReadOnlyList<Point>> outer = [], holes = [];
        foreach (var ring in rings)
        {
            Point[] inMeters = [.. ring.Select(InMeters)];
            (Polygon.SignedArea(inMeters) > 0 ? outer : holes).Add(inMeters);
        }
        var holesOf = outer.ToDictionary(ring => ring, _ => new List<IReadOnlyList<Point>>());
        foreach (var hole in holes)
        {
            var around = outer.Where(ring => PartAt.Contains(new Region([new Polygon(ring)]), Inside(hole))).MinBy(ring => Math.Abs(Polygon.SignedArea(ring)));
            if (around is not null) holesOf[around].Add(hole);
        }
        return new Region([.. outer.Select(ring => new Polygon(ring, holesOf[ring]))]);
    }

    /// <summary>A point beside the middle of a ring's first side, on the side of the ring's inside.</summary>
    private static Point Inside(IReadOnlyList<Point> clockwise)
    {
        var (a, b) = (clockwise[0], clockwise[1]);
        double dx = b.X - a.X, dy = b.Y - a.Y;
        return new((a.X + b.X) / 2 + 1e-3 * dy, (a.Y + b.Y) / 2 - 1e-3 * dx);
    }

    /// <summary>Sides between a point of the set and one that is not, from corner to corner, the set on the left.</summary>
    private static Dictionary<(int X, int Y), List<(int X, int Y)>> Edges(Dictionary<int, ulong> points, BoardGrid grid)
    {
        var edges = new Dictionary<(int X, int Y), List<(int X, int Y)>>();
        bool IsSet(int x, int y)
        {
            if (x < 0 || y < 0 || x >= grid.Columns * Fine || y >= grid.Rows * Fine) return false;
            return points.TryGetValue(y / Fine * grid.Columns + x / Fine, out ulong bits) && (bits >> (Fine * (y % Fine) + x % Fine) & 1) != 0;
        }
        void Add((int, int) from, (int, int) to)
        {
            if (!edges.TryGetValue(from, out var ends)) edges[from] = ends = [];
            ends.Add(to);
        }
        foreach (var (cell, bits) in points)
        {
            for (int bit = 0; bit < Fine * Fine; bit++)
            {
                if ((bits >> bit & 1) == 0) continue;
                int x = cell % grid.Columns * Fine + bit % Fine, y = cell / grid.Columns * Fine + bit / Fine;
                if (!IsSet(x, y - 1)) Add((x, y), (x + 1, y));
                if (!IsSet(x + 1, y)) Add((x + 1, y), (x + 1, y + 1));
                if (!IsSet(x, y + 1)) Add((x + 1, y + 1), (x, y + 1));
                if (!IsSet(x - 1, y)) Add((x, y + 1), (x, y));
            }
        }
        return edges;
    }

    private static IEnumerable<List<(int X, int Y)>> Rings(Dictionary<(int X, int Y), List<(int X, int Y)>> edges)
    {
        foreach (var start in edges.Keys)
        {
            while (edges[start].Count > 0)
            {
                var ring = new List<(int X, int Y)>();
                var (at, came) = (start, (X: 0, Y: 0));
                do
                {
                    ring.Add(at);
                    var ends = edges[at];
                    // where two corners touch, turn left: the ring stays with its own points
                    var here = at;
                    var heading = came;
                    var next = ends.Count == 1 ? ends[0] : ends.MaxBy(end => heading.X * (end.Y - here.Y) - heading.Y * (end.X - here.X));
                    ends.Remove(next);
                    (came, at) = ((next.X - at.X, next.Y - at.Y), next);
                }
                while (at != start);
                yield return ring;
            }
        }
    }

    private static List<(int X, int Y)> Straighten(List<(int X, int Y)> ring)
    {
        // from the lowest left corner to the farthest from it and back
        int first = Enumerable.Range(0, ring.Count).MinBy(i => (ring[i].Y, ring[i].X));
        List<(int X, int Y)> turned = [.. ring[first..], .. ring[..first]];
        int far = Enumerable.Range(0, turned.Count).MaxBy(i => Square(turned[i].X - turned[0].X) + Square(turned[i].Y - turned[0].Y));
        var kept = new bool[turned.Count + 1];
        turned.Add(turned[0]);
        kept[0] = kept[far] = true;
        Keep(turned, 0, far, kept);
        Keep(turned, far, turned.Count - 1, kept);
        return [.. turned.SkipLast(1).Where((_, i) => kept[i])];
    }

    private static void Keep(List<(int X, int Y)> line, int from, int to, bool[] kept)
    {
        var spans = new Stack<(int From, int To)>([(from, to)]);
        while (spans.TryPop(out var span))
        {
            var (a, b) = (line[span.From], line[span.To]);
            double length = Math.Sqrt(Square(b.X - a.X) + Square(b.Y - a.Y)), most = Slack;
            int farthest = -1;
            for (int i = span.From + 1; i < span.To; i++)
            {
                var p = line[i];
                double distance = length > 0
                    ? Math.Abs((b.X - a.X) * (double)(p.Y - a.Y) - (b.Y - a.Y) * (double)(p.X - a.X)) / length
                    : Math.Sqrt(Square(p.X - a.X) + Square(p.Y - a.Y));
                if (distance > most) (most, farthest) = (distance, i);
            }
            if (farthest < 0) continue;
            kept[farthest] = true;
            spans.Push((span.From, farthest));
            spans.Push((farthest, span.To));
        }
    }

    private static double Square(double x) => x * x;
}
