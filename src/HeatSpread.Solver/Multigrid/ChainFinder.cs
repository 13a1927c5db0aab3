using System.Numerics;
using System.Runtime.CompilerServices;
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

    private readonly Level _level;

    /// <summary>By colour: first what a conductance of the cell must exceed; later, as negative integers, the complement of the number of a chain's cell.</summary>
    private readonly AlignedFloats[] _mark;

    /// <summary>By colour, what leads from cells to the sink.</summary>
    private readonly AlignedFloats[] _sink;

    /// <summary>For each row: conductances that belong to chains, with all that is to be known of both their cells, which is in the caches when they are found and not later.</summary>
    private readonly List<Edge>?[] _edges;

    private ChainFinder(Level level, AlignedFloats[] sink, AlignedFloats[] mark) => (_level, _sink, _mark, _edges) = (level, sink, mark, new List<Edge>?[level.Shape.Rows]);

    /// <summary>A cell of a chain: where it is, its conductances to the sheet above and below and of all its links together, and how columns are counted in its row.</summary>
    public record struct Cell(int Place, byte Color, byte Parity, float Up, float Down, float Diagonal);

    private readonly record struct Edge(Cell Red, Cell Black, float Conductance);

    /// <summary>Cells of all chains one behind the other; of each the conductance to the next of its chain, 0 for the last; and where each chain starts, with the end of the last.</summary>
    /// <param name="level">Holds vertical conductances still.</param>
    /// <param name="sink">Its conductances to the sink by colour.</param>
    /// <param name="linked">Links of nodes, whose columns are left out.</param>
    /// <param name="team">Threads.</param>
    /// <param name="pool">Scratch.</param>
    public static (Cell[] Cells, float[] Along, int[] Start) Find(Level level, AlignedFloats[] sink, ColumnLinks linked, ThreadTeam team, ScratchPool pool)
    {
        var shape = level.Shape;
        AlignedFloats[] mark = [pool.Rent(shape.Length, 11, team.Cancellation), pool.Rent(shape.Length, 12, team.Cancellation)];
        var finder = new ChainFinder(level, sink, mark);
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
            Note(row, k, k + step, conductance[k]);
        }
    }

    private void Note(int row, int red, int black, float conductance)
    {
        var stride = _level.Shape.RowStride;
        int blackRow = black >= red + stride ? row + 1 : black <= red - stride ? row - 1 : row;
        (_edges[row] ??= []).Add(new(Read(0, row, red), Read(1, blackRow, black), conductance));
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private Cell Read(int color, int row, int place)
    {
        var shape = _level.Shape;
        int at = place - shape.RowStart(row), half = shape.Half;
        var n = _level.Row(color, row, null);
        var vertical = _level.Multiplier[color].Pointer;
        float up = at >= half ? vertical[place - half] : 0, down = at < (shape.Sheets - 1) * half ? vertical[place] : 0;
        var diagonal = n.West[at] + n.East[at] + n.North[at] + n.South[at] + up + down + _sink[color].Pointer[place];
        return new(place, (byte)color, (byte)Shape.Parity(color, row), up, down, diagonal);
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private (Cell[] Cells, float[] Along, int[] Start) Chains(CancellationToken cancellationToken)
    {
        var most = 0;
        foreach (var row in _edges) most += 2 * (row?.Count ?? 0);
        var end = new End[most];
        var count = 0;
        [MethodImpl(MethodImplOptions.AggressiveOptimization)]
        int Number(in Cell cell)
        {
            var mark = (int*)_mark[cell.Color].Pointer + cell.Place;
            if (*mark < 0) return ~*mark;
            end[count] = new() { Cell = cell, First = -1, Second = -1 };
            *mark = ~count;
            return count++;
        }

        foreach (var row in _edges)
        {
            cancellationToken.ThrowIfCancellationRequested();
            foreach (ref readonly var edge in CollectionsMarshal.AsSpan(row))
            {
                int a = Number(edge.Red), b = Number(edge.Black);
                end[a].Join(b, edge.Conductance);
                end[b].Join(a, edge.Conductance);
            }
        }

        var (cells, along) = (new Cell[count], new float[count]);
        List<int> start = [0];
        var length = 0;
        // First from the ends; what are left are rings, where any cell may be the first.
        for (var k = 0; k < 2 * count; k++)
        {
            if ((k & 0xFFFF) == 0) cancellationToken.ThrowIfCancellationRequested();
            if (k < count && end[k].Second >= 0) continue;
            for (var at = k % count; at >= 0 && !end[at].IsDone;)
            {
                ref var from = ref end[at];
                from.IsDone = true;
                cells[length] = from.Cell;
                var toFirst = from.First >= 0 && !end[from.First].IsDone;
                at = toFirst ? from.First : from.Second;
                along[length++] = at < 0 || end[at].IsDone ? 0 : toFirst ? from.ToFirst : from.ToSecond;
            }

            if (length > start[^1]) start.Add(length);
        }

        return (cells, along, [.. start]);
    }

    /// <summary>A cell with its neighbours in the chain: their numbers, -1 for none, and the conductances to them.</summary>
    private struct End
    {
        public Cell Cell;
        public int First, Second;
        public float ToFirst, ToSecond;
        public bool IsDone;

        public void Join(int other, float conductance)
        {
            (Second, ToSecond) = (First, ToFirst);
            (First, ToFirst) = (other, conductance);
        }
    }
}
