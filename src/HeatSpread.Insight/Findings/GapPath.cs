using HeatSpread.Boards;
using HeatSpread.Thermal;

namespace HeatSpread.Insight;

/// <summary>From the links across one gap to the line that runs along it.</summary>
internal static class GapPath
{
    /// <summary>Middles of links this many cells apart, or the width of the gap and a cell, follow each other along the gap: no link crosses the inside of a corner.</summary>
    private const double Reach = 2.3;

    /// <summary>Links along half a ring, at least.</summary>
    private const int ShortestRing = 16;

    /// <summary>A line may leave the smoothed middles by this share of a cell.</summary>
    private const double Slack = 0.35;

    /// <summary>
    /// The way along the gap with the greatest sum of length times jump, as a polyline; one point for a single link. A gap that closes on itself gives a closed line.
    /// </summary>
    /// <param name="links">Across one gap.</param>
    /// <param name="mayEnd">Whether the line may begin or end at a link; at least one may.</param>
    /// <param name="width">Of the gap, m.</param>
    /// <param name="grid">Their cells.</param>
    public static IReadOnlyList<Point> Along(IReadOnlyList<GapLink> links, Func<GapLink, bool> mayEnd, double width, BoardGrid grid)
    {
        var byMiddle = links.GroupBy(link => link.Middle(grid)).OrderByDescending(group => group.Any(mayEnd)).ToList();
        Point[] middles = [.. byMiddle.Select(group => group.Key)];
        double[] jumps = [.. byMiddle.Select(group => group.Max(link => Math.Abs(link.JumpKelvin)))];
        int ends = byMiddle.Count(group => group.Any(mayEnd));
        double pitch = Math.Max(grid.PitchX, grid.PitchY);
        var near = new NearPoints(middles, jumps, Math.Max(Reach * pitch, width + pitch));
        int start = near.Farthest(Array.IndexOf(jumps, jumps.Take(ends).Max()), ends);
        var way = NearPoints.Way(near.WaysFrom(start), near.Farthest(start, ends));
        if (ReturnWay(near, way, pitch) is { } back) way = [.. way, .. back];
        return Simplified(Smoothed([.. way.Select(i => middles[i])]), Slack * pitch);
    }

    /// <summary>Length of a polyline.</summary>
    public static double Length(IReadOnlyList<Point> path)
    {
        double length = 0;
        for (int i = 1; i < path.Count; i++) length += Distance(path[i - 1], path[i]);
        return length;
    }

    /// <summary>The place half way along a polyline.</summary>
    public static Point Halfway(IReadOnlyList<Point> path)
    {
        double left = Length(path) / 2;
        for (int i = 1; i < path.Count; i++)
        {
            double step = Distance(path[i - 1], path[i]);
            if (step >= left && step > 0) return new(path[i - 1].X + left / step * (path[i].X - path[i - 1].X), path[i - 1].Y + left / step * (path[i].Y - path[i - 1].Y));
            left -= step;
        }
        return path[^1];
    }

    public static double Distance(Point a, Point b) => double.Hypot(a.X - b.X, a.Y - b.Y);

    /// <summary>Where the gap is a ring: the way back from the last point to the first along its other side.</summary>
    private static IReadOnlyList<int>? ReturnWay(NearPoints near, IReadOnlyList<int> way, double pitch)
    {
        if (way.Count < ShortestRing) return null;
        var taken = new bool[near.Count];
        // all near the way but its two ends is barred
        for (int i = 3; i < way.Count - 3; i++)
        {
            foreach (int j in near.Within(way[i], 3 * pitch)) taken[j] = true;
        }
        foreach (int end in (ReadOnlySpan<int>)[way[0], way[^1]])
        {
            foreach (int j in near.Within(end, 2 * pitch)) taken[j] = false;
        }
        int[] before = near.WaysFrom(way[^1], taken);
        if (before[way[0]] < 0) return null;
        var back = NearPoints.Way(before, way[0]);
        return 2 * back.Count < way.Count ? null : [.. back.Skip(1)];
    }

    /// <summary>Each point the mean of itself and its neighbours: middles swing to and fro by half a cell.</summary>
    private static List<Point> Smoothed(IReadOnlyList<Point> path)
    {
        var smooth = new List<Point>(path.Count);
        for (int i = 0; i < path.Count; i++)
        {
            int half = Math.Min(2, Math.Min(i, path.Count - 1 - i));
            double x = 0, y = 0;
            for (int j = i - half; j <= i + half; j++) (x, y) = (x + path[j].X, y + path[j].Y);
            smooth.Add(new(x / (2 * half + 1), y / (2 * half + 1)));
        }
        return smooth;
    }

    /// <summary>Douglas and Peucker's line simplification (1973).</summary>
    private static List<Point> Simplified(List<Point> path, double slack)
    {
        if (path.Count < 3) return path;
        int farthest = 0;
        double most = 0;
        for (int i = 1; i < path.Count - 1; i++)
        {
            double off = Off(path[i], path[0], path[^1]);
            if (off > most) (farthest, most) = (i, off);
        }
        if (most <= slack) return [path[0], path[^1]];
        return [.. Simplified(path[..(farthest + 1)], slack), .. Simplified(path[farthest..], slack).Skip(1)];
    }

    /// <summary>Distance of a point from a polyline.</summary>
    public static double Off(Point p, IReadOnlyList<Point> path) =>
        path.Count == 1 ? Distance(p, path[0]) : Enumerable.Range(1, path.Count - 1).Min(i => Off(p, path[i - 1], path[i]));

    private static double Off(Point p, Point a, Point b)
    {
        double dx = b.X - a.X, dy = b.Y - a.Y, length = dx * dx + dy * dy;
        double t = length > 0 ? Math.Clamp(((p.X - a.X) * dx + (p.Y - a.Y) * dy) / length, 0, 1) : 0;
        return Distance(p, new(a.X + t * dx, a.Y + t * dy));
    }
}

/// <summary>Points of which those within a reach of each other are joined, and shortest ways among them (Dijkstra 1959).</summary>
internal sealed class NearPoints
{
    private readonly Point[] _points;
    private readonly double[] _weights;
    private readonly double _reach;
    private readonly Dictionary<(int, int), List<int>> _bins = [];

    /// <param name="points">In any order.</param>
    /// <param name="weights">One a point: what a length there counts.</param>
    /// <param name="reach">Farthest that two joined points are apart.</param>
    public NearPoints(Point[] points, double[] weights, double reach)
    {
        (_points, _weights, _reach) = (points, weights, reach);
        for (int i = 0; i < points.Length; i++)
        {
            if (!_bins.TryGetValue(Bin(points[i]), out var bin)) _bins[Bin(points[i])] = bin = [];
            bin.Add(i);
        }
    }

    public int Count => _points.Length;

    /// <summary>Points within a distance of one of them, itself included.</summary>
    public IEnumerable<int> Within(int point, double distance)
    {
        int around = (int)Math.Ceiling(distance / _reach);
        var (x, y) = Bin(_points[point]);
        for (int i = x - around; i <= x + around; i++)
        {
            for (int j = y - around; j <= y + around; j++)
            {
                if (!_bins.TryGetValue((i, j), out var bin)) continue;
                foreach (int other in bin)
                {
                    if (GapPath.Distance(_points[point], _points[other]) <= distance) yield return other;
                }
            }
        }
    }

    /// <summary>To which of the first points the shortest way from one of them counts most: the sum of its steps, each times the weights there.</summary>
    public int Farthest(int from, int first)
    {
        var (length, before) = Walk(from, null);
        int[] nearestFirst = [.. Enumerable.Range(0, length.Length).Where(i => double.IsFinite(length[i])).OrderBy(i => length[i])];
        var count = new double[length.Length];
        foreach (int i in nearestFirst) count[i] = count[before[i]] + GapPath.Distance(_points[i], _points[before[i]]) * (_weights[i] + _weights[before[i]]) / 2;
        int farthest = from;
        for (int i = 0; i < first; i++)
        {
            if (double.IsFinite(length[i]) && count[i] > count[farthest]) farthest = i;
        }
        return farthest;
    }

    /// <summary>Shortest ways from a point, not over barred ones: the point before each, -1 where no way leads, itself for the point.</summary>
    public int[] WaysFrom(int from, bool[]? barred = null) => Walk(from, barred).Before;

    /// <summary>The points of the way to one of them, from the start on.</summary>
    public static IReadOnlyList<int> Way(int[] before, int to)
    {
        var way = new List<int> { to };
        while (before[way[^1]] != way[^1]) way.Add(before[way[^1]]);
        way.Reverse();
        return way;
    }

    private (double[] Length, int[] Before) Walk(int from, bool[]? barred)
    {
        var length = new double[_points.Length];
        var before = new int[_points.Length];
        Array.Fill(length, double.PositiveInfinity);
        Array.Fill(before, -1);
        (length[from], before[from]) = (0, from);
        var open = new PriorityQueue<int, double>([(from, 0.0)]);
        while (open.TryDequeue(out int point, out double reached))
        {
            if (reached > length[point]) continue;
            foreach (int next in Within(point, _reach))
            {
                // squared: many short steps through the middle of the gap rather than few long ones along its side
                double step = GapPath.Distance(_points[point], _points[next]), through = reached + step * step / _reach;
                if (barred?[next] == true || through >= length[next]) continue;
                (length[next], before[next]) = (through, point);
                open.Enqueue(next, through);
            }
        }
        return (length, before);
    }

    private (int, int) Bin(Point p) => ((int)Math.Floor(p.X / _reach), (int)Math.Floor(p.Y / _reach));
}
