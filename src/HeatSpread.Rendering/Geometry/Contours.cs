using System.Numerics;
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
    public static IReadOnlyList<SKPoint[]> Trace<T>(ReadOnlySpan<T> values, int columns, int rows, float level)
        where T : struct, INumber<T>
    {
        var crossings = new Crossings();
        // Crossings by number: on the lattice's edges along the row below and the row above the cells, and on the cell's left.
        int[] below = new int[columns], above = new int[columns];
        Array.Fill(below, Unknown);
        for (int row = 0; row + 1 < rows; row++)
        {
            var lower = values.Slice(row * columns, columns);
            var upper = values.Slice((row + 1) * columns, columns);
            Array.Fill(above, Unknown);
            int left = Unknown;
            // Bits of the corners above the level, from the lower left counter-clockwise.
            int former = (IsAbove(lower[0]) ? 1 : 0) | (IsAbove(upper[0]) ? 8 : 0);
            for (int column = 0; column + 1 < columns; column++)
            {
                int next = (IsAbove(lower[column + 1]) ? 1 : 0) | (IsAbove(upper[column + 1]) ? 8 : 0);
                int corners = former | (next & 1) << 1 | (next & 8) >> 1, right = Unknown;
                former = next;
                if (corners is not (0 or 15))
                {
                    float a = Value(lower[column]), b = Value(lower[column + 1]), c = Value(upper[column + 1]), d = Value(upper[column]);
                    foreach (var (from, to) in Pieces(corners, corners is 5 or 10 && (a + b + d + c) / 4 > level))
                    {
                        int start = On(from), end = On(to);
                        crossings.Join(start, end);
                    }

                    int On(int side)
                    {
                        ref int number = ref side == 0 ? ref below[column] : ref side == 1 ? ref right : ref side == 2 ? ref above[column] : ref left;
                        if (number != Unknown) return number;
                        return number = crossings.Add(side switch
                        {
                            0 => new(column + Share(a, b), row),
                            1 => new(column + 1, row + Share(b, c)),
                            2 => new(column + Share(d, c), row + 1),
                            _ => new(column, row + Share(a, d)),
                        });
                    }
                }
                left = right;
            }
            (below, above) = (above, below);
        }
        return crossings.Link();

        static float Value(T value) => float.CreateTruncating(value);
        bool IsAbove(T value) => Value(value) > level;
        float Share(float from, float to) => (level - from) / (to - from);
    }

    private const int Unknown = -1;

    /// <summary>Where lines cross the lattice's edges. Only these are held: an array over all edges would cost more in memory touched for the first time than the tracing.</summary>
    private sealed class Crossings
    {
        private const int None = -1;

        private readonly List<SKPoint> _places = [];
        private readonly List<int> _next = [];
        private readonly List<bool> _arrived = [];
        private readonly List<int> _starts = [];

        /// <returns>Its number.</returns>
        public int Add(SKPoint place)
        {
            _places.Add(place);
            _next.Add(None);
            _arrived.Add(false);
            return _places.Count - 1;
        }

        /// <summary>A piece of a line runs from one crossing to another.</summary>
        public void Join(int from, int to)
        {
            _next[from] = to;
            _arrived[to] = true;
            _starts.Add(from);
        }

        public List<SKPoint[]> Link()
        {
            var lines = new List<SKPoint[]>();
            var line = new List<SKPoint>();
            // open lines from their true beginnings first; what is left are loops
            foreach (bool open in (ReadOnlySpan<bool>)[true, false])
            {
                foreach (int start in _starts)
                {
                    if (open && _arrived[start]) continue;
                    line.Clear();
                    for (int at = start; _next[at] != None;)
                    {
                        if (line.Count == 0) line.Add(_places[at]);
                        int to = _next[at];
                        _next[at] = None;
                        line.Add(_places[to]);
                        at = to;
                    }
                    if (line.Count > 1) lines.Add([.. line]);
                }
            }
            return lines;
        }
    }

    /// <summary>
    /// Sides of a cell: 0 bottom, 1 right, 2 top, 3 left. Each crossing piece runs from one side to another with the higher values on
    /// the same hand, so that a side has one piece that arrives and one that leaves.
    /// </summary>
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
