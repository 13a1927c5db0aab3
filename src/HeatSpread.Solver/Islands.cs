using System.Numerics;
using System.Runtime.CompilerServices;
using System.Runtime.Intrinsics;

namespace HeatSpread.Solver;

/// <summary>Pieces of a network that no chain of conductances joins to the sink.</summary>
internal sealed class Islands
{
    /// <summary>Of each unknown its piece, -1 where that has a way to the sink; empty where absent cells alone have none.</summary>
    private readonly int[] _root;

    /// <summary>Not null where absent cells alone have no way to the sink: whether a cell is one is seen at its conductances, which costs less than memory for all of them.</summary>
    private readonly ConductanceGrid? _withAbsent;

    private Islands(int[] root, int[] representatives, ConductanceGrid? withAbsent = null) => (_root, Representatives, _withAbsent) = (root, representatives, withAbsent);

    /// <summary>One unknown of each piece that has no way to the sink but more than one unknown, ascending.</summary>
    public int[] Representatives { get; }

    /// <summary>True where an unknown belongs to a piece without a way to the sink, single unknowns without any conductance included.</summary>
    public bool Contains(int unknown) => RootOf(unknown) >= 0;

    /// <summary>One unknown of each piece that has heat but no way to the sink, ascending.</summary>
    public int[] Heated(ReadOnlySpan<double> heat)
    {
        SortedSet<int> heated = [];
        if (!Any) return [];
        for (int i = 0, next; (next = heat[i..].IndexOfAnyExcept(0.0)) >= 0; i++)
        {
            i += next;
            if (RootOf(i) is >= 0 and var root) heated.Add(root);
        }

        return [.. heated];
    }

    /// <summary>True where some unknown is in such a piece.</summary>
    public bool Any => _root.Length > 0 || _withAbsent != null;

    /// <summary>Sets the temperatures of all unknowns in such pieces to 0.</summary>
    /// <param name="temperature">Of all unknowns.</param>
    /// <param name="team">Whose threads do it.</param>
    /// <exception cref="OperationCanceledException">As the team's token asks.</exception>
    public unsafe void Clear(double* temperature, ThreadTeam team)
    {
        const int piece = 1 << 12;
        var unknowns = _withAbsent?.CellCount ?? _root.Length;
        team.ForRows((unknowns + piece - 1) / piece, piece, (from, to) => Clear(temperature, from * piece, Math.Min(unknowns, to * piece)));
    }

    /// <summary>As the other one, on the caller's thread, which nothing ends.</summary>
    public unsafe void Clear(double* temperature) => Clear(temperature, 0, _withAbsent?.CellCount ?? _root.Length);

    private unsafe void Clear(double* temperature, int first, int end)
    {
        if (_withAbsent != null) ClearAbsent(_withAbsent, temperature, first, end);
        else ClearRooted(temperature, first, end);
    }

    private unsafe void ClearRooted(double* temperature, int first, int end)
    {
        for (var i = first; i < end; i++)
        {
            if (_root[i] >= 0) temperature[i] = 0;
        }
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private static unsafe void ClearAbsent(ConductanceGrid grid, double* temperature, int first, int end)
    {
        var plane = grid.Columns * grid.Rows;
        var cell = first;
        for (; cell + 16 <= end; cell += 16)
        {
            var any = Links(grid, cell, plane) + Vector512.LoadUnsafe(ref grid.Below[cell]) + Vector512.LoadUnsafe(ref grid.ToSink[cell]);
            for (var absent = Vector512.Equals(any, Vector512<float>.Zero).ExtractMostSignificantBits(); absent != 0; absent &= absent - 1) temperature[cell + BitOperations.TrailingZeroCount(absent)] = 0;
        }

        for (; cell < end; cell++)
        {
            if (IsAbsent(grid, cell)) temperature[cell] = 0;
        }
    }

    private int RootOf(int unknown) => _withAbsent != null ? unknown < _withAbsent.CellCount && IsAbsent(_withAbsent, unknown) ? unknown : -1 : _root.Length > 0 ? _root[unknown] : -1;

    /// <summary>Conductances of cells, those of such pieces left out; the same array where there are none to leave out.</summary>
    /// <param name="values">One a cell.</param>
    /// <param name="cancellationToken">Gives it up.</param>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    public float[] Without(float[] values, CancellationToken cancellationToken)
    {
        if (Representatives.Length == 0) return values;
        var kept = LargeArray.Filled(values.Length, 0f, cancellationToken);
        for (var i = 0; i < kept.Length; i++)
        {
            if ((i & 0xFFFF) == 0) cancellationToken.ThrowIfCancellationRequested();
            kept[i] = _root[i] >= 0 ? 0 : values[i];
        }

        return kept;
    }

    /// <summary>Union-find over all conductances (Tarjan 1975, with path halving); nothing to search where it is seen at once that all but absent cells have their sink.</summary>
    public static Islands Find(ConductanceGrid grid, ThreadTeam team) => AtOnce(grid, team) ?? Search(grid, team.Cancellation);

    /// <summary>Null where it takes a search.</summary>
    internal static Islands? AtOnce(ConductanceGrid grid, ThreadTeam team) =>
        EveryColumnHasItsSink(grid, team, out var hasAbsent) && EveryNodeHasItsSink(grid) ? new([], [], hasAbsent ? grid : null) : null;

    /// <summary>As <see cref="Find"/>, whatever the network.</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    internal static Islands Search(ConductanceGrid grid, CancellationToken cancellationToken)
    {
        int cells = grid.CellCount, sink = cells + grid.NodeCount, plane = grid.Columns * grid.Rows;
        var parent = LargeArray.Filled(sink + 1, 0, cancellationToken);
        for (var i = 0; i < parent.Length; i++) parent[i] = i;
        var joined = LargeArray.Filled(sink + 1, false, cancellationToken);
        void Union(int a, int b)
        {
            joined[a] = joined[b] = true;
            int ra = Root(parent, a), rb = Root(parent, b);
            if (ra != rb) parent[Math.Min(ra, rb)] = Math.Max(ra, rb);
        }

        for (var i = 0; i < cells; i++)
        {
            if ((i & 0xFFFF) == 0) cancellationToken.ThrowIfCancellationRequested();
            if (grid.ToSink[i] > 0) Union(i, sink);
            if (grid.Below[i] > 0) Union(i, i + plane);
            if (grid.East[i] > 0) Union(i, i + 1);
            if (grid.North[i] > 0) Union(i, i + grid.Columns);
        }

        foreach (var link in grid.NodeCellLinks.Where(l => l.Conductance > 0)) Union(cells + link.Node, link.Cell);
        foreach (var link in grid.NodeNodeLinks.Where(l => l.Conductance > 0)) Union(cells + link.First, cells + link.Second);
        for (var i = 0; i < grid.NodeCount; i++)
        {
            if (grid.NodeToSink[i] > 0) Union(cells + i, sink);
        }

        return Collect(parent, joined, sink, cancellationToken);
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private static Islands Collect(int[] parent, bool[] joined, int sink, CancellationToken cancellationToken)
    {
        var root = LargeArray.Filled(sink, 0, cancellationToken);
        SortedSet<int> representatives = [];
        var any = false;
        for (var i = 0; i < sink; i++)
        {
            if ((i & 0xFFFF) == 0) cancellationToken.ThrowIfCancellationRequested();
            var r = Root(parent, i);
            root[i] = r == sink ? -1 : r;
            any |= r != sink;
            if (r != sink && joined[i]) representatives.Add(r);
        }

        return any ? new(root, [.. representatives]) : new([], []);
    }

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static int Root(int[] parent, int i)
    {
        while (parent[i] != i) i = parent[i] = parent[parent[i]];
        return i;
    }

    /// <summary>Where the cells have theirs, a node has, if it or one that it is linked with has a link to the sink or to a cell.</summary>
    private static bool EveryNodeHasItsSink(ConductanceGrid grid)
    {
        bool[] has = [.. grid.NodeToSink.Select(g => g > 0)];
        foreach (var link in grid.NodeCellLinks)
        {
            if (!(link.Conductance > 0)) continue;
            // An absent cell may have no other link.
            if (IsAbsent(grid, link.Cell)) return false;
            has[link.Node] = true;
        }

        for (var (changed, left) = (true, grid.NodeCount); changed && left > 0; left--)
        {
            changed = false;
            foreach (var link in grid.NodeNodeLinks)
            {
                if (!(link.Conductance > 0) || has[link.First] == has[link.Second]) continue;
                has[link.First] = has[link.Second] = changed = true;
            }
        }

        return !has.Contains(false);
    }

    private static bool IsAbsent(ConductanceGrid grid, int cell)
    {
        float Before(float[] values, int step) => cell >= step ? values[cell - step] : 0;
        var plane = grid.Columns * grid.Rows;
        return grid.ToSink[cell] == 0 && grid.East[cell] == 0 && grid.North[cell] == 0 && grid.Below[cell] == 0 && Before(grid.East, 1) == 0 && Before(grid.North, grid.Columns) == 0 && Before(grid.Below, plane) == 0;
    }

    /// <summary>Sums of the conductances of sixteen cells to their neighbours but those below.</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static Vector512<float> Links(ConductanceGrid grid, int i, int plane) =>
        Vector512.LoadUnsafe(ref grid.East[i]) + Vector512.LoadUnsafe(ref grid.North[i]) + Before(grid.East, i, 1) + Before(grid.North, i, grid.Columns) + Before(grid.Below, i, plane);

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static Vector512<float> Before(float[] values, int i, int step) => i >= step ? Vector512.LoadUnsafe(ref values[i - step]) : BeforeAtStart(values, i, step);

    private static Vector512<float> BeforeAtStart(float[] values, int i, int step)
    {
        Span<float> lanes = stackalloc float[16];
        lanes.Clear();
        for (var k = step - i; k < lanes.Length; k++) lanes[k] = values[i + k - step];
        return Vector512.Create<float>(lanes);
    }

    private static bool EveryColumnHasItsSink(ConductanceGrid grid, ThreadTeam team, out bool hasAbsent)
    {
        int lacking = 0, absent = 0;
        team.ForRows(grid.Rows, grid.Columns * grid.Sheets * 4, (from, to) =>
        {
            if (Volatile.Read(ref lacking) != 0) return;
            if (!HaveTheirSinks(grid, from * grid.Columns, to * grid.Columns, out var someAbsent)) Volatile.Write(ref lacking, 1);
            if (someAbsent) Volatile.Write(ref absent, 1);
        });
        hasAbsent = absent != 0;
        return lacking == 0;
    }

    /// <summary>Whether in columns <paramref name="from"/> to <paramref name="to"/> (exclusive) each stretch of cells that are joined downwards has a link to the sink or is one absent cell.</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private static bool HaveTheirSinks(ConductanceGrid grid, int from, int to, out bool hasAbsent)
    {
        var plane = grid.Columns * grid.Rows;
        float[] below = grid.Below, toSink = grid.ToSink;
        hasAbsent = false;
        var c = from;
        for (; c + 16 <= to; c += 16)
        {
            var hasSink = Vector512<float>.Zero;
            for (var i = c; i < below.Length; i += plane)
            {
                hasSink |= Vector512.GreaterThan(Vector512.LoadUnsafe(ref toSink[i]), Vector512<float>.Zero);
                var ends = ~Vector512.GreaterThan(Vector512.LoadUnsafe(ref below[i]), Vector512<float>.Zero);
                var lacking = ends & ~hasSink;
                if (lacking.ExtractMostSignificantBits() != 0)
                {
                    if ((lacking & Vector512.GreaterThan(Links(grid, i, plane), Vector512<float>.Zero)).ExtractMostSignificantBits() != 0) return false;
                    hasAbsent = true;
                }

                hasSink &= ~ends;
            }
        }

        for (; c < to; c++)
        {
            var hasSink = false;
            for (var i = c; i < below.Length; i += plane)
            {
                hasSink |= toSink[i] > 0;
                if (below[i] > 0) continue;
                if (!hasSink)
                {
                    if (!IsAbsent(grid, i)) return false;
                    hasAbsent = true;
                }

                hasSink = false;
            }
        }

        return true;
    }
}
