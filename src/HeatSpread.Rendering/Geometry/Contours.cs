using SkiaSharp;

namespace HeatSpread.Rendering;

/// <summary>Lines of equal value on a lattice of samples, by marching squares with linear crossings.</summary>
internal static class Contours
{
    /// <param name="values"><c>[row * columns + column]</c>, finite.</param>
    /// <param name="columns">At least 2.</param>
    /// <param name="rows">At least 2.</param>
    /// <param name="level">The value of the lines.</param>
    /// <returns>
    /// Lines in lattice units (a sample's own place is its column and row). Values above the level lie on one side all along;
    /// a closed line repeats its first point. Lines end only at the lattice's border.
    /// </returns>
    public static IReadOnlyList<SKPoint[]> Trace(ReadOnlySpan<float> values, int columns, int rows, float level)
    {
        var next = new int[2 * columns * rows]; // by lattice edge: the edge that follows it on its line, plus 1; 0 for none
        var order = new List<int>();
        for (int row = 0; row + 1 < rows; row++)
        {
            var lower = values.Slice(row * columns, columns);
            var upper = values.Slice((row + 1) * columns, columns);
            for (int column = 0; column + 1 < columns; column++)
            {
                int corners = (lower[column] > level ? 1 : 0) | (lower[column + 1] > level ? 2 : 0) | (upper[column + 1] > level ? 4 : 0) | (upper[column] > level ? 8 : 0);
                if (corners is 0 or 15) continue;
                bool middle = corners is 5 or 10 && (lower[column] + lower[column + 1] + upper[column] + upper[column + 1]) / 4 > level;
                AddCell(next, order, row * columns + column, columns, corners, middle);
            }
        }
        return Link(values, columns, level, next, order);
    }

    /// <summary>
    /// Sides of a cell: 0 bottom, 1 right, 2 top, 3 left. Each crossing piece runs from one side to another with the higher values on
    /// the same hand, so that a side has one piece that arrives and one that leaves.
    /// </summary>
    private static void AddCell(int[] next, List<int> order, int cell, int columns, int corners, bool middle)
    {
        foreach (var (from, to) in Pieces(corners, middle))
        {
            int start = Side(cell, columns, from);
            next[start] = Side(cell, columns, to) + 1;
            order.Add(start);
        }
    }

    private static (int From, int To)[] Pieces(int corners, bool middle) => corners switch
    {
        5 when middle => SaddleA,
        10 when middle => SaddleB,
        _ => PiecesByCorners[corners],
    };

    private static readonly (int From, int To)[] SaddleA = [(0, 1), (2, 3)];

    private static readonly (int From, int To)[] SaddleB = [(3, 0), (1, 2)];

    /// <summary>Index: bits of the corners above the level, from the lower left counter-clockwise.</summary>
    private static readonly (int From, int To)[][] PiecesByCorners =
    [
        [], [(0, 3)], [(1, 0)], [(1, 3)], [(2, 1)], [(0, 3), (2, 1)], [(2, 0)], [(2, 3)],
        [(3, 2)], [(0, 2)], [(1, 0), (3, 2)], [(1, 2)], [(3, 1)], [(0, 1)], [(3, 0)], [],
    ];

    /// <summary>Number of a lattice edge: even along the row from a sample, odd along the column.</summary>
    private static int Side(int cell, int columns, int side) => side switch
    {
        0 => 2 * cell,
        1 => 2 * (cell + 1) + 1,
        2 => 2 * (cell + columns),
        _ => 2 * cell + 1,
    };

    private static List<SKPoint[]> Link(ReadOnlySpan<float> values, int columns, float level, int[] next, List<int> order)
    {
        var arrived = new bool[next.Length];
        foreach (int start in order) arrived[next[start] - 1] = true;
        var lines = new List<SKPoint[]>();
        var line = new List<SKPoint>();
        // open lines from their true beginnings first; what is left are loops
        foreach (bool open in (ReadOnlySpan<bool>)[true, false])
        {
            foreach (int start in order)
            {
                if (open && arrived[start]) continue;
                line.Clear();
                for (int edge = start; next[edge] != 0;)
                {
                    if (line.Count == 0) line.Add(Crossing(values, columns, level, edge));
                    int to = next[edge] - 1;
                    next[edge] = 0;
                    line.Add(Crossing(values, columns, level, to));
                    edge = to;
                }
                if (line.Count > 1) lines.Add([.. line]);
            }
        }
        return lines;
    }

    private static SKPoint Crossing(ReadOnlySpan<float> values, int columns, float level, int edge)
    {
        int sample = edge / 2, column = sample % columns, row = sample / columns;
        bool alongRow = edge % 2 == 0;
        float a = values[sample], b = values[alongRow ? sample + 1 : sample + columns];
        float share = (level - a) / (b - a);
        return alongRow ? new SKPoint(column + share, row) : new SKPoint(column, row + share);
    }

    /// <summary>Leaves out points that lie within a tolerance of the line through their neighbours (Ramer 1972, Douglas and Peucker 1973).</summary>
    public static SKPoint[] Simplify(SKPoint[] line, float tolerance)
    {
        var keep = new bool[line.Length];
        keep[0] = keep[^1] = true;
        var spans = new Stack<(int First, int Last)>();
        // a loop's ends are one point: split it at the point farthest away
        int split = line[0] == line[^1] ? Farthest(line, 0, line.Length - 1).Index : 0;
        if (split > 0)
        {
            keep[split] = true;
            spans.Push((0, split));
        }
        spans.Push((split, line.Length - 1));
        while (spans.TryPop(out var span))
        {
            var (index, distance) = Farthest(line, span.First, span.Last);
            if (distance <= tolerance) continue;
            keep[index] = true;
            spans.Push((span.First, index));
            spans.Push((index, span.Last));
        }
        return [.. line.Where((_, i) => keep[i])];
    }

    private static (int Index, float Distance) Farthest(SKPoint[] line, int first, int last)
    {
        SKPoint a = line[first], along = line[last] - a;
        float length = along.Length, worst = -1;
        int index = first;
        for (int i = first + 1; i < last; i++)
        {
            var p = line[i] - a;
            float distance = length > 0 ? Math.Abs(p.X * along.Y - p.Y * along.X) / length : p.Length;
            if (distance <= worst) continue;
            worst = distance;
            index = i;
        }
        return (index, worst);
    }
}
