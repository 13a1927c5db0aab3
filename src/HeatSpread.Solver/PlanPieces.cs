using System.Runtime.CompilerServices;
using System.Runtime.Intrinsics;
using HeatSpread.Solver.Multigrid;

namespace HeatSpread.Solver;

/// <summary>
/// The pieces of a network that nothing but the sink joins, told apart in the plan (a column of cells counts as one); those are clusters whose links to the sink are next to nothing. All the clusters of a network where strong
/// conductances join whatever is joined, but for single columns with little copper or little of the board in them, as there are along every outline and hole.
/// </summary>
internal static unsafe class PlanPieces
{
    /// <summary>Zero at each column before which to look whether to go on.</summary>
    private const int LookMask = (1 << 16) - 1;

    /// <returns>Null where there may be other clusters.</returns>
    public static ClusterLabels? Find(ConductanceGrid grid, Conductances network, (int First, int Second, double Conductance)[] nodeLinks, ConductanceRange range, ThreadTeam team, ScratchPool pool)
    {
        // Most boards without parts are one piece, each column joined to the next: then there is nothing to search.
        if (range.IsNarrow && grid.NodeCount == 0 && IsWhole(network, team, out var whole)) return IsWeak(whole) ? new(null, [-1], [whole.Inside], [whole.Sink], true) : ClusterLabels.None;
        var plane = grid.Columns * grid.Rows;
        AlignedFloats east = pool.RentAny(plane, 1), north = pool.RentAny(plane, 2), sink = pool.RentAny(plane, 3), within = pool.RentAny(plane, 4), parents = pool.RentAny(plane + grid.NodeCount, 5);
        var columns = new Plan(grid.Columns, plane, east.Pointer, north.Pointer, sink.Pointer, within.Pointer, (int*)parents.Pointer);
        team.ForRows(grid.Rows, grid.Columns * grid.Sheets * 4, (from, to) => columns.AddUp(network, range.Strong, from * grid.Columns, to * grid.Columns));
        var found = range.IsNarrow || columns.StrongLinksJoinAll(range.Strong, team.Cancellation) ? Search(grid, network, nodeLinks, columns, team.Cancellation) : null;
        foreach (var floats in (ReadOnlySpan<AlignedFloats>)[east, north, sink, within, parents]) pool.Return(floats);
        return found;
    }

    private static bool IsWeak((double Sink, double Inside) piece) => piece.Sink > 0 && piece.Sink < ClusterTree.Weak * piece.Inside;

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private static ClusterLabels Search(ConductanceGrid grid, Conductances network, (int First, int Second, double Conductance)[] nodeLinks, Plan plan, CancellationToken cancellationToken)
    {
        int plane = grid.Columns * grid.Rows, members = plane + grid.NodeCount;
        plan.Reset(members);
        plan.JoinColumns(0, false, cancellationToken);
        foreach (var link in network.Links) plan.Join(plane + link.Node, (link.Row * grid.Columns) + link.Column);
        foreach (var link in nodeLinks) plan.Join(plane + link.First, plane + link.Second);
        Dictionary<int, (double Sink, double Inside)> sums = [];
        // Neighbours are mostly of one piece, so the sum of a stretch is looked up once.
        var (root, sum) = (0, default((double Sink, double Inside)));
        for (var column = 0; column < plane; column++)
        {
            if ((column & LookMask) == 0) cancellationToken.ThrowIfCancellationRequested();
            if (plan.Root(column) is var own && own != root)
            {
                sums[root] = sum;
                (root, sum) = (own, sums.GetValueOrDefault(own));
            }

            sum = (sum.Sink + plan.Sink[column], sum.Inside + plan.East[column] + plan.North[column]);
        }

        sums[root] = sum;
        for (var node = 0; node < grid.NodeCount; node++)
        {
            var own = plan.Root(plane + node);
            var (toSink, inside) = sums.GetValueOrDefault(own);
            sums[own] = (toSink + grid.NodeToSink[node], inside);
        }

        return Number(grid, plan, sums);
    }

    private static ClusterLabels Number(ConductanceGrid grid, Plan plan, Dictionary<int, (double Sink, double Inside)> sums)
    {
        int plane = grid.Columns * grid.Rows, members = plane + grid.NodeCount;
        // A root is the least member of its piece, so pieces are numbered in the order of their first members.
        var weak = sums.Where(piece => IsWeak(piece.Value)).OrderBy(piece => piece.Key).ToArray();
        if (weak.Length == 0) return ClusterLabels.None;
        var others = sums.Values.Any(sum => sum.Sink > 0 && !IsWeak(sum));
        Dictionary<int, int> numberOf = weak.Select((piece, k) => (piece.Key, k)).ToDictionary(piece => piece.Key, piece => piece.k);
        // What has no way to the sink has no conductance here, so that it may be in the cluster as well.
        var isOne = weak.Length == 1 && !others;
        var label = isOne ? null : new int[grid.CellCount + grid.NodeCount];
        if (label != null)
        {
            var (root, number) = (-1, -1);
            for (var i = 0; i < members; i++)
            {
                if (plan.Root(i) is var own && own != root) (root, number) = (own, numberOf.GetValueOrDefault(own, -1));
                label[i < plane ? i : i + grid.CellCount - plane] = number;
            }

            for (var start = plane; start < grid.CellCount; start += plane) label.AsSpan(0, plane).CopyTo(label.AsSpan(start));
        }

        return new(label, [.. weak.Select(_ => -1)], [.. weak.Select(piece => piece.Value.Inside)], [.. weak.Select(piece => piece.Value.Sink)], isOne);
    }

    /// <summary>Whether each column is joined to the next one east and north; and if so the sums over all columns.</summary>
    private static bool IsWhole(Conductances network, ThreadTeam team, out (double Sink, double Inside) sum)
    {
        var ofRow = new (double Sink, double Inside)[network.Rows];
        var broken = 0;
        team.ForRows(network.Rows, network.Columns * network.Sheets * 3, (from, to) =>
        {
            for (var row = from; row < to && Volatile.Read(ref broken) == 0; row++)
            {
                if (!IsRowWhole(network, row, out ofRow[row])) Volatile.Write(ref broken, 1);
            }
        });
        sum = (ofRow.Sum(row => row.Sink), ofRow.Sum(row => row.Inside));
        return broken == 0;
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private static bool IsRowWhole(Conductances network, int row, out (double Sink, double Inside) sum)
    {
        sum = default;
        int columns = network.Columns, plane = columns * network.Rows;
        var northmost = row + 1 == network.Rows;
        var x = 0;
        for (; x + 17 <= columns; x += 16)
        {
            Vector512<float> east = default, north = default, sink = default;
            for (var i = (row * columns) + x; i < network.East.Length; i += plane)
            {
                east += Vector512.LoadUnsafe(ref network.East[i]);
                north += Vector512.LoadUnsafe(ref network.North[i]);
                sink += Vector512.LoadUnsafe(ref network.ToSink[i]);
            }

            if (Vector512.EqualsAny(east, Vector512<float>.Zero) || (!northmost && Vector512.EqualsAny(north, Vector512<float>.Zero))) return false;
            sum.Sink += Vector512.Sum(sink);
            sum.Inside += Vector512.Sum(east + north);
        }

        for (; x < columns; x++)
        {
            double east = 0, north = 0;
            for (var i = (row * columns) + x; i < network.East.Length; i += plane) (east, north, sum.Sink) = (east + network.East[i], north + network.North[i], sum.Sink + network.ToSink[i]);
            if ((east == 0 && x + 1 < columns) || (north == 0 && !northmost)) return false;
            sum.Inside += east + north;
        }

        return true;
    }
}
