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

    /// <summary>For sixteen red cells of a row a word: sixteen bits each for the conductances to west, east, north and south that belong to chains.</summary>
    private readonly AlignedFloats _edges;

    private ChainFinder(Level level, AlignedFloats[] mark, AlignedFloats edges) => (_level, _mark, _edges) = (level, mark, edges);

    private int WordsInRow => _level.Shape.Sheets * _level.Shape.Half / Shape.Lanes;

    private ulong* Edges => (ulong*)_edges.Pointer;

    /// <summary>The chains of a level.</summary>
    /// <param name="level">Holds vertical conductances still.</param>
    /// <param name="linked">Links of nodes, whose columns are left out.</param>
    /// <param name="team">Threads.</param>
    /// <param name="pool">Gets back all but the chains.</param>
    public static Chains Find(Level level, ColumnLinks linked, ThreadTeam team, ScratchPool pool)
    {
        var shape = level.Shape;
        AlignedFloats[] mark = [pool.Rent(shape.Length, 11, team), pool.Rent(shape.Length, 12, team)];
        var edges = pool.RentAny(shape.Rows * (shape.Sheets * shape.Half / Shape.Lanes) * 2, 13);
        var finder = new ChainFinder(level, mark, edges);
        var stages = new Stages(team, shape).Then(row =>
        {
            finder.Thresholds(0, row, mark[0].Pointer);
            finder.Thresholds(1, row, mark[1].Pointer);
        });
        if (linked.Columns > 0) stages.ThenAllRows(() => finder.LeaveOut(linked));
        stages.Then(finder.FindEdges).Run();
        var found = finder.Join(pool, team.Cancellation);
        foreach (var floats in (ReadOnlySpan<AlignedFloats>)[.. mark, edges]) pool.Return(floats);
        return found;
    }

    /// <summary>Conductance between neighbours of different colour.</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    public static float Between(Level level, ChainCell a, ChainCell b)
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
        var edges = Edges + (row * WordsInRow);
        for (int i = start, end = start + (shape.Sheets * shape.Half); i < end; i += Shape.Lanes)
        {
            var own = Vector512.Load(red + i);
            var west = Strong(_level.West.Pointer + i, own, black + i + p - 1);
            var east = Strong(_level.East.Pointer + i, own, black + i + p);
            var north = Strong(_level.North.Pointer + i, own, black + i + shape.RowStride);
            var south = Strong(_level.South.Pointer + i, own, black + i - shape.RowStride);
            *edges++ = west | (east << 16) | (north << 32) | (south << 48);
        }
    }

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static ulong Strong(float* conductance, Vector512<float> own, float* other) =>
        Vector512.GreaterThan(Vector512.Load(conductance), Vector512.Max(own, Vector512.Load(other))).ExtractMostSignificantBits();

    /// <summary>From the edges to chains.</summary>
    private Chains Join(ScratchPool pool, CancellationToken cancellationToken)
    {
        var edges = 0;
        for (int w = 0, words = _level.Shape.Rows * WordsInRow; w < words; w++) edges += BitOperations.PopCount(Edges[w]);
        var most = 2 * edges;
        AlignedFloats cells = pool.RentAny(most), order = pool.RentAny(most), links = pool.RentAny(2 * most);
        int* first = (int*)links.Pointer, second = first + most;
        var count = Number((ChainCell*)cells.Pointer, first, second, cancellationToken);
        var start = Follow(count, first, second, (int*)order.Pointer, cancellationToken);
        pool.Return(links);
        return new(cells, count, order, start, pool);
    }

    /// <summary>The cells of chains in the order of memory, and of each its one or two neighbours along the chain, -1 for none.</summary>
    /// <returns>How many.</returns>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private int Number(ChainCell* cell, int* first, int* second, CancellationToken cancellationToken)
    {
        var shape = _level.Shape;
        int* red = (int*)_mark[0].Pointer, black = (int*)_mark[1].Pointer;
        var count = 0;
        var word = Edges;
        for (var row = 0; row < shape.Rows; row++)
        {
            cancellationToken.ThrowIfCancellationRequested();
            int start = shape.RowStart(row), p = Shape.Parity(0, row);
            for (int i = start, end = start + (shape.Sheets * shape.Half); i < end; i += Shape.Lanes)
            {
                for (var bits = *word++; bits != 0; bits &= bits - 1)
                {
                    var bit = BitOperations.TrailingZeroCount(bits);
                    var place = i + (bit & 15);
                    var other = place + ((bit >> 4) switch { 0 => p - 1, 1 => p, 2 => shape.RowStride, _ => -shape.RowStride });
                    if (red[place] >= 0)
                    {
                        (cell[count], first[count], second[count]) = (new(0, place), -1, -1);
                        red[place] = ~count++;
                    }

                    if (black[other] >= 0)
                    {
                        (cell[count], first[count], second[count]) = (new(1, other), -1, -1);
                        black[other] = ~count++;
                    }

                    int a = ~red[place], b = ~black[other];
                    (first[a], second[a]) = (b, first[a]);
                    (first[b], second[b]) = (a, first[b]);
                }
            }
        }

        return count;
    }

    /// <summary>Fills <paramref name="order"/> with the numbers of the chains' cells, these one behind the other.</summary>
    /// <returns>Where each chain starts there, with the end of the last.</returns>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private static int[] Follow(int count, int* first, int* second, int* order, CancellationToken cancellationToken)
    {
        List<int> start = [0];
        var done = new bool[count];
        var length = 0;
        // First from the ends; what is left are rings, where any cell may be the first.
        for (var k = 0; k < 2 * count; k++)
        {
            if ((k & 0xFFFF) == 0) cancellationToken.ThrowIfCancellationRequested();
            if (k < count && second[k] >= 0) continue;
            for (var at = k < count ? k : k - count; at >= 0 && !done[at];)
            {
                done[at] = true;
                order[length++] = at;
                at = first[at] >= 0 && !done[first[at]] ? first[at] : second[at];
            }

            if (length - start[^1] >= LeastLength) start.Add(length);
            else length = start[^1];
        }

        return [.. start];
    }
}
