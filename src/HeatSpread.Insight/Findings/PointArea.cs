using HeatSpread.Boards;
using HeatSpread.Thermal;
using NetTopologySuite.Geometries;
using NetTopologySuite.Operation.Union;
using NetTopologySuite.Simplify;

namespace HeatSpread.Insight;

/// <summary>An area as a set of fine points: what an edit may fill is found by looking at each of them.</summary>
internal static class PointArea
{
    /// <summary>Outlines may leave the steps of the points by this share of a point.</summary>
    private const double Slack = 0.75;

    /// <summary>All points within a distance of the set, the set included.</summary>
    /// <param name="set">One a point.</param>
    /// <param name="points">Their places.</param>
    /// <param name="distance">m.</param>
    public static bool[] Grown(bool[] set, BoardGrid points, double distance)
    {
        var grown = (bool[])set.Clone();
        int reachX = (int)(distance / points.PitchX), reachY = (int)(distance / points.PitchY);
        for (int row = 0; row < points.Rows; row++)
        {
            for (int column = 0; column < points.Columns; column++)
            {
                if (set[row * points.Columns + column] && IsEdge(set, points, column, row)) Stamp(column, row);
            }
        }
        return grown;

        void Stamp(int column, int row)
        {
            for (int dy = -reachY; dy <= reachY; dy++)
            {
                int y = row + dy;
                if (y < 0 || y >= points.Rows) continue;
                double rest = distance * distance - dy * dy * points.PitchY * points.PitchY;
                int half = rest < 0 ? -1 : (int)(Math.Sqrt(rest) / points.PitchX);
                int from = Math.Max(0, column - half), to = Math.Min(points.Columns - 1, column + half);
                if (half >= 0) Array.Fill(grown, true, y * points.Columns + from, to - from + 1);
            }
        }
    }

    /// <summary>The set without what is thinner than twice a distance: eroded by it, and grown again.</summary>
    public static bool[] Opened(bool[] set, BoardGrid points, double distance)
    {
        bool[] outside = [.. set.Select(inside => !inside)];
        bool[] eroded = [.. Grown(outside, points, distance).Select(inside => !inside)];
        bool[] opened = Grown(eroded, points, distance);
        for (int i = 0; i < opened.Length; i++) opened[i] &= set[i];
        return opened;
    }

    /// <summary>The points of the set that are joined, side by side, to one of the seeds.</summary>
    public static bool[] JoinedTo(bool[] seeds, bool[] set, BoardGrid points)
    {
        var joined = new bool[set.Length];
        var open = new Stack<int>();
        for (int i = 0; i < set.Length; i++)
        {
            if (!set[i] || !seeds[i]) continue;
            joined[i] = true;
            open.Push(i);
        }
        while (open.TryPop(out int at))
        {
            int column = at % points.Columns;
            if (column > 0) Visit(at - 1);
            if (column + 1 < points.Columns) Visit(at + 1);
            if (at >= points.Columns) Visit(at - points.Columns);
            if (at + points.Columns < set.Length) Visit(at + points.Columns);
        }
        return joined;

        void Visit(int i)
        {
            if (!set[i] || joined[i]) return;
            joined[i] = true;
            open.Push(i);
        }
    }

    /// <summary>The set's outline; null for an empty set.</summary>
    public static Region? Outlined(bool[] set, BoardGrid points)
    {
        var kept = WithoutCorners(set, points);
        var factory = GeometryFactory.Default;
        var runs = new List<Geometry>();
        for (int row = 0; row < points.Rows; row++)
        {
            for (int column = 0; column < points.Columns; column++)
            {
                if (!kept[row * points.Columns + column]) continue;
                int end = column;
                while (end < points.Columns && kept[row * points.Columns + end]) end++;
                runs.Add(factory.ToGeometry(new Envelope(column, end, row, row + 1)));
                column = end;
            }
        }
        if (runs.Count == 0) return null;
        var outline = TopologyPreservingSimplifier.Simplify(CascadedPolygonUnion.Union(runs), Slack);
        var polygons = Enumerable.Range(0, outline.NumGeometries).Select(outline.GetGeometryN).OfType<NetTopologySuite.Geometries.Polygon>().Where(polygon => polygon.Area >= 2);
        Region region = new([.. polygons.Select(polygon => new Boards.Polygon(Ring(polygon.ExteriorRing), [.. polygon.InteriorRings.Select(Ring)]))]);
        return region.Polygons.Count == 0 ? null : region;

        IReadOnlyList<Boards.Point> Ring(LineString ring) =>
            [.. ring.Coordinates.SkipLast(1).Select(c => new Boards.Point(points.Origin.X + c.X * points.PitchX, points.Origin.Y + c.Y * points.PitchY))];
    }

    private static bool IsEdge(bool[] set, BoardGrid points, int column, int row)
    {
        int at = row * points.Columns + column;
        return (column > 0 && !set[at - 1]) || (column + 1 < points.Columns && !set[at + 1]) || (row > 0 && !set[at - points.Columns]) || (row + 1 < points.Rows && !set[at + points.Columns]);
    }

    /// <summary>Where two points touch corner to corner alone, one of them is left out: an outline that touches itself is no sound ring.</summary>
    private static bool[] WithoutCorners(bool[] set, BoardGrid points)
    {
        var kept = (bool[])set.Clone();
        bool changed = true;
        while (changed)
        {
            changed = false;
            for (int row = 0; row + 1 < points.Rows; row++)
            {
                for (int at = row * points.Columns; at + 1 < (row + 1) * points.Columns; at++)
                {
                    int above = at + points.Columns;
                    if (kept[at] && kept[above + 1] && !kept[at + 1] && !kept[above]) kept[above + 1] = false;
                    else if (kept[at + 1] && kept[above] && !kept[at] && !kept[above + 1]) kept[above] = false;
                    else continue;
                    changed = true;
                }
            }
        }
        return kept;
    }
}
