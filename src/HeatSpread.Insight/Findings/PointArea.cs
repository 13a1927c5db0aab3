using HeatSpread.Boards;
using HeatSpread.Thermal;

namespace HeatSpread.Insight;

/// <summary>An area as a set of fine points: what an edit may fill is found by looking at each of them.</summary>
internal static class PointArea
{
    /// <summary>All points within a distance of the set, the set included.</summary>
    /// <param name="set">One a point.</param>
    /// <param name="points">Their places.</param>
    /// <param name="distance">m.</param>
    public static bool[] Grown(bool[] set, BoardGrid points, double distance)
    {
        int reachY = (int)(distance / points.PitchY), columns = points.Columns;
        int[] halves = [.. Enumerable.Range(0, reachY + 1).Select(dy => (int)(Math.Sqrt(Math.Max(0, distance * distance - Square(dy * points.PitchY))) / points.PitchX))];
        int[] along = AlongRows(set, points);
        bool[] isEmpty = [.. Enumerable.Range(0, points.Rows).Select(row => !set.AsSpan(row * columns, columns).Contains(true))];
        var grown = new bool[set.Length];
        for (int row = 0; row < points.Rows; row++)
        {
            for (int other = Math.Max(0, row - reachY); other <= Math.Min(points.Rows - 1, row + reachY); other++)
            {
                if (isEmpty[other]) continue;
                int half = halves[Math.Abs(other - row)], at = row * columns, from = other * columns;
                for (int column = 0; column < columns; column++) grown[at + column] |= along[from + column] <= half;
            }
        }
        return grown;
    }

    /// <summary>The set without what is thinner than twice a distance: eroded by it, and grown again.</summary>
    public static bool[] Opened(bool[] set, BoardGrid points, double distance)
    {
        bool[] opened = Grown(Not(Grown(Not(set), points, distance)), points, distance);
        for (int i = 0; i < opened.Length; i++) opened[i] &= set[i];
        return opened;
    }

    /// <summary>The points inside a region, by their centres.</summary>
    public static bool[] Inside(Region region, BoardGrid points)
    {
        var inside = new bool[points.CellCount];
        var crossings = new List<double>();
        foreach (var polygon in region.Polygons)
        {
            var box = polygon.Bounds;
            int first = Math.Max(0, (int)Math.Ceiling((box.MinY - points.Origin.Y) / points.PitchY - 0.5)), last = Math.Min(points.Rows - 1, (int)((box.MaxY - points.Origin.Y) / points.PitchY - 0.5));
            for (int row = first; row <= last; row++)
            {
                crossings.Clear();
                foreach (var ring in polygon.Rings) AddCrossings(ring, points.Centre(0, row).Y, crossings);
                crossings.Sort();
                for (int i = 0; i + 1 < crossings.Count; i += 2)
                {
                    int from = Math.Max(0, (int)Math.Ceiling((crossings[i] - points.Origin.X) / points.PitchX - 0.5));
                    int end = Math.Min(points.Columns, (int)Math.Ceiling((crossings[i + 1] - points.Origin.X) / points.PitchX - 0.5));
                    if (end > from) inside.AsSpan(row * points.Columns + from, end - from).Fill(true);
                }
            }
        }
        return inside;
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

    /// <summary>The set's outline; null for an empty set. Single points are left out.</summary>
    public static Region? Outlined(bool[] set, BoardGrid points)
    {
        const int fine = PointOutline.Fine;
        var kept = WithoutCorners(set, points);
        var blocks = new BoardGrid
        {
            Columns = (points.Columns + fine - 1) / fine,
            Rows = (points.Rows + fine - 1) / fine,
            Origin = points.Origin,
            PitchX = fine * points.PitchX,
            PitchY = fine * points.PitchY,
        };
        var bits = new Dictionary<int, ulong>();
        for (int i = 0; i < kept.Length; i++)
        {
            if (!kept[i]) continue;
            int column = i % points.Columns, row = i / points.Columns, block = row / fine * blocks.Columns + column / fine;
            bits[block] = bits.GetValueOrDefault(block) | 1UL << (fine * (row % fine) + column % fine);
        }
        var region = PointOutline.Of(bits.Select(block => (block.Key, block.Value)), blocks, leastPoints: 2);
        return region.Polygons.Count == 0 ? null : region;
    }

    private static double Square(double x) => x * x;

    private static bool[] Not(bool[] set)
    {
        var others = new bool[set.Length];
        for (int i = 0; i < set.Length; i++) others[i] = !set[i];
        return others;
    }

    /// <summary>How many points along its row the nearest of the set is; a large number where the row has none.</summary>
    private static int[] AlongRows(bool[] set, BoardGrid points)
    {
        const int none = int.MaxValue / 2;
        var along = new int[set.Length];
        for (int row = 0; row < points.Rows; row++)
        {
            int start = row * points.Columns, end = start + points.Columns;
            for (int at = start, distance = none; at < end; at++) along[at] = distance = set[at] ? 0 : distance + 1;
            for (int at = end - 1, distance = none; at >= start; at--) along[at] = Math.Min(along[at], distance = set[at] ? 0 : distance + 1);
        }
        return along;
    }

    private static void AddCrossings(IReadOnlyList<Point> ring, double y, List<double> crossings)
    {
        var a = ring[^1];
        foreach (var b in ring)
        {
            if (a.Y > y != b.Y > y) crossings.Add(a.X + (y - a.Y) / (b.Y - a.Y) * (b.X - a.X));
            a = b;
        }
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
