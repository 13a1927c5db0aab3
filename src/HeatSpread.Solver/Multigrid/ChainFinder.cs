using System.Numerics;
using System.Runtime.CompilerServices;
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

    /// <summary>By colour: first what a conductance of the cell must exceed; later, as negative integers, the complement of the number of a chain's cell.</summary>
    private readonly AlignedFloats[] _mark;

    /// <summary>For each row: red and black place of the conductances that belong to chains.</summary>
    private readonly List<(int Red, int Black)>?[] _edges;

    private ChainFinder(Level level, AlignedFloats[] mark) => (_level, _mark, _edges) = (level, mark, new List<(int, int)>?[level.Shape.Rows]);

    /// <summary>A cell of a chain.</summary>
    public readonly record struct Cell(int Color, int Place);

    /// <summary>Cells in the order of memory; the number of the cell at each place of the chains, these one behind the other; and where each chain starts there, with the end of the last.</summary>
    /// <param name="level">Holds vertical conductances still.</param>
    /// <param name="linked">Links of nodes, whose columns are left out.</param>
    /// <param name="team">Threads.</param>
    /// <param name="pool">Scratch.</param>
    public static (Cell[] Cells, int[] Order, int[] Start) Find(Level level, ColumnLinks linked, ThreadTeam team, ScratchPool pool)
    {
        var shape = level.Shape;
        AlignedFloats[] mark = [pool.Rent(shape.Length, 11, team), pool.Rent(shape.Length, 12, team)];
        var finder = new ChainFinder(level, mark);
        var stages = new Stages(team, shape).Then(row =>
        {
            finder.Thresholds(0, row, mark[0].Pointer);
            finder.Thresholds(1, row, mark[1].Pointer);
        });
        if (linked.Columns > 0) stages.ThenAllRows(() => finder.LeaveOut(linked));
        stages.Then(finder.FindEdges).Run();
        var found = finder.Chains(team.Cancellation);
        foreach (var floats in mark) pool.Return(floats);
        return found;
    }

    /// <summary>Conductance between neighbours of different colour.</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    public static float Between(Level level, Cell a, Cell b)
    {
        var (red, black) = a.Color == 0 ? (a.Place, b.Place) : (b.Place, a.Place);
        var stride = level.Shape.RowStride;
        if (black == red + stride) return level.North.Pointer[red];
        if (black == red - stride) return level.South.Pointer[red];
        var row = ((red - Shape.Lanes) / stride) - 1;
        return black == red + Shape.Parity(0, row) ? level.East.Pointer[red] : level.West.Pointer[red];
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
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

    private void LeaveOut(ColumnLinks linked)
    {
        var shape = _level.Shape;
        for (var c = 0; c < linked.Columns; c++)
        {
            for (var s = 0; s < shape.Sheets; s++) _mark[linked.Color(c)].Span[shape.ColumnStart(linked.X[c], linked.Y[c]) + (s * shape.Half)] = float.PositiveInfinity;
        }
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private void FindEdges(int row)
    {
        var shape = _level.Shape;
        int start = shape.RowStart(row), p = Shape.Parity(0, row);
        float* red = _mark[0].Pointer, black = _mark[1].Pointer;
        for (int i = start, end = start + (shape.Sheets * shape.Half); i < end; i += Shape.Lanes)
        {
            var own = Vector512.Load(red + i);
            Collect(row, i, p - 1, _level.West.Pointer, own, black);
            Collect(row, i, p, _level.East.Pointer, own, black);
            Collect(row, i, shape.RowStride, _level.North.Pointer, own, black);
            Collect(row, i, -shape.RowStride, _level.South.Pointer, own, black);
        }
    }

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private void Collect(int row, int i, int step, float* conductance, Vector512<float> own, float* black)
    {
        var strong = Vector512.GreaterThan(Vector512.Load(conductance + i), Vector512.Max(own, Vector512.Load(black + i + step))).ExtractMostSignificantBits();
        for (; strong != 0; strong &= strong - 1)
        {
            var k = i + BitOperations.TrailingZeroCount(strong);
            Note(row, k, k + step);
        }
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private void Note(int row, int red, int black) => (_edges[row] ??= []).Add((red, black));

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private (Cell[] Cells, int[] Order, int[] Start) Chains(CancellationToken cancellationToken)
    {
        var most = 0;
        foreach (var row in _edges) most += 2 * (row?.Count ?? 0);
        var cell = new Cell[most];
        int[] first = new int[most], second = new int[most];
        var count = 0;
        [MethodImpl(MethodImplOptions.AggressiveOptimization)]
        int Number(int color, int place)
        {
            var mark = (int*)_mark[color].Pointer + place;
            if (*mark < 0) return ~*mark;
            (cell[count], first[count], second[count]) = (new(color, place), -1, -1);
            *mark = ~count;
            return count++;
        }

        foreach (var row in _edges)
        {
            cancellationToken.ThrowIfCancellationRequested();
            for (var k = 0; k < row?.Count; k++)
            {
                int a = Number(0, row[k].Red), b = Number(1, row[k].Black);
                (first[a], second[a]) = (b, first[a]);
                (first[b], second[b]) = (a, first[b]);
            }
        }

        List<int> order = new(count);
        List<int> start = [0];
        var done = new bool[count];
        // First from the ends; what is left are rings, where any cell may be the first.
        for (var k = 0; k < 2 * count; k++)
        {
            if ((k & 0xFFFF) == 0) cancellationToken.ThrowIfCancellationRequested();
            if (k < count && second[k] >= 0) continue;
            for (var at = k % Math.Max(1, count); at >= 0 && !done[at];)
            {
                done[at] = true;
                order.Add(at);
                at = first[at] >= 0 && !done[first[at]] ? first[at] : second[at];
            }

            if (order.Count - start[^1] >= LeastLength) start.Add(order.Count);
            else order.RemoveRange(start[^1], order.Count - start[^1]);
        }

        return (cell[..count], [.. order], [.. start]);
    }
}
