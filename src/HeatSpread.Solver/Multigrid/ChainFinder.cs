using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;

namespace HeatSpread.Solver.Multigrid;

/// <summary>
/// Finds chains of cells: a lateral conductance belongs to a chain where it is many times the third greatest of both its cells, so that a cell has at
/// most two such, and not small beside the cells' vertical ones.
/// </summary>
internal sealed unsafe class ChainFinder
{
    /// <summary>How many times the third greatest lateral conductance.</summary>
    private const float Ratio = 4;

    /// <summary>Least ratio to the conductance to the sheets above and below.</summary>
    private const float VerticalRatio = 0.25f;

    private const int LeastLength = 2;
    private readonly Level _level;

    /// <summary>For each cell of a chain its one or two neighbours there, -1 for none. A black cell is known by its place plus the length of the red array.</summary>
    private readonly Dictionary<int, (int First, int Second)> _next = [];

    public ChainFinder(Level level, LinkedColumn[] linked, ThreadTeam team, ScratchPool pool)
    {
        _level = level;
        var shape = level.Shape;
        AlignedFloats[] threshold = [pool.Rent(shape.Length, 11), pool.Rent(shape.Length, 12)];
        team.ForRows(shape.Rows, shape.RowStride, (from, to) =>
        {
            for (var row = from; row < to; row++)
            {
                Thresholds(0, row, threshold[0].Pointer);
                Thresholds(1, row, threshold[1].Pointer);
            }
        });

        foreach (var c in linked)
        {
            for (var s = 0; s < shape.Sheets; s++) threshold[c.Color].Span[shape.ColumnStart(c.Column, c.Row) + (s * shape.Half)] = float.PositiveInfinity;
        }

        for (var row = 0; row < shape.Rows; row++) Edges(row, threshold[0].Pointer, threshold[1].Pointer);
        foreach (var floats in threshold) pool.Return(floats);
    }

    public List<List<(int Color, int Place)>> Chains()
    {
        List<List<(int, int)>> chains = [];
        HashSet<int> done = new(_next.Count);
        foreach (var (cell, (_, second)) in _next)
        {
            if (second < 0) Follow(cell, done, chains);
        }

        // What is left are rings; any cell may be their first.
        foreach (var cell in _next.Keys) Follow(cell, done, chains);
        return chains;
    }

    /// <summary>Conductance between neighbours of different colour.</summary>
    public static float Between(Level level, (int Color, int Place) a, (int Color, int Place) b)
    {
        var (red, black) = a.Color == 0 ? (a.Place, b.Place) : (b.Place, a.Place);
        var stride = level.Shape.RowStride;
        if (black == red + stride) return level.North.Pointer[red];
        if (black == red - stride) return level.South.Pointer[red];
        var row = ((red - Shape.Lanes) / stride) - 1;
        return black == red + Shape.Parity(0, row) ? level.East.Pointer[red] : level.West.Pointer[red];
    }

    private void Follow(int cell, HashSet<int> done, List<List<(int, int)>> chains)
    {
        if (done.Contains(cell)) return;
        var length = _level.Shape.Length;
        List<(int, int)> chain = [];
        while (cell >= 0 && done.Add(cell))
        {
            chain.Add(cell < length ? (0, cell) : (1, cell - length));
            var (first, second) = _next[cell];
            cell = first >= 0 && !done.Contains(first) ? first : second;
        }

        if (chain.Count >= LeastLength) chains.Add(chain);
    }

    private void Thresholds(int color, int row, float* threshold)
    {
        var shape = _level.Shape;
        int start = shape.RowStart(row), half = shape.Half;
        var n = _level.Row(color, row, null);
        var vertical = _level.Multiplier[color].Pointer + start;
        for (int i = 0, count = shape.Sheets * half; i < count; i += Shape.Lanes)
        {
            Vector512<float> a = Vector512.Load(n.West + i), b = Vector512.Load(n.East + i), c = Vector512.Load(n.North + i), d = Vector512.Load(n.South + i);
            var third = Vector512.Min(Vector512.Min(Vector512.Max(a, b), Vector512.Max(c, d)), Vector512.Max(Vector512.Min(a, b), Vector512.Min(c, d)));
            var v = Vector512.Load(vertical + i);
            if (i >= half) v += Vector512.Load(vertical + i - half);
            Vector512.Max(third * Ratio, v * VerticalRatio).Store(threshold + start + i);
        }
    }

    private void Edges(int row, float* red, float* black)
    {
        var shape = _level.Shape;
        int start = shape.RowStart(row), p = Shape.Parity(0, row);
        AlignedFloats[] conductance = [_level.West, _level.East, _level.North, _level.South];
        int[] step = [p - 1, p, shape.RowStride, -shape.RowStride];
        for (int i = start, end = start + (shape.Sheets * shape.Half); i < end; i += Shape.Lanes)
        {
            var own = Vector512.Load(red + i);
            for (var d = 0; d < 4; d++)
            {
                var strong = Vector512.GreaterThan(Vector512.Load(conductance[d].Pointer + i), Vector512.Max(own, Vector512.Load(black + i + step[d]))).ExtractMostSignificantBits();
                for (; strong != 0; strong &= strong - 1)
                {
                    var k = i + System.Numerics.BitOperations.TrailingZeroCount(strong);
                    Join(k, shape.Length + k + step[d]);
                    Join(shape.Length + k + step[d], k);
                }
            }
        }
    }

    private void Join(int from, int to)
    {
        ref var next = ref CollectionsMarshal.GetValueRefOrAddDefault(_next, from, out var known);
        next = known ? (next.First, to) : (to, -1);
    }
}
