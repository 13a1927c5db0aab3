using System.Runtime.CompilerServices;
using System.Runtime.Intrinsics;
using HeatSpread.Solver.Multigrid;

namespace HeatSpread.Solver;

/// <summary>
/// The pieces of a network that nothing joins but the sink, told apart in the plan (a column of cells counts as one); those are clusters whose links to the sink are next to nothing. All the clusters of a network whose
/// conductances lie not too far apart, found at once.
/// </summary>
internal static class PlanPieces
{
    /// <summary>Zero at each column before which to look whether to go on.</summary>
    private const int LookMask = (1 << 16) - 1;

    public static ClusterLabels Find(ConductanceGrid grid, Conductances network, (int First, int Second, double Conductance)[] nodeLinks, ThreadTeam team)
    {
        // Most boards are one piece, each column joined to the next: then there is nothing to search.
        if (grid.NodeCount == 0 && IsWhole(network, team, out var whole)) return IsWeak(whole) ? new(null, [-1], [whole.Inside], [whole.Sink], true) : ClusterLabels.None;
        return Search(grid, network, nodeLinks, team.Cancellation);
    }

    private static bool IsWeak((double Sink, double Inside) piece) => piece.Sink > 0 && piece.Sink < ClusterTree.Weak * piece.Inside;

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private static ClusterLabels Search(ConductanceGrid grid, Conductances network, (int First, int Second, double Conductance)[] nodeLinks, CancellationToken cancellationToken)
    {
        var plane = grid.Columns * grid.Rows;
        double[] east = OverSheets(network.East, plane, cancellationToken), north = OverSheets(network.North, plane, cancellationToken), sink = OverSheets(network.ToSink, plane, cancellationToken);
        var parent = new int[plane + grid.NodeCount];
        for (var i = 0; i < parent.Length; i++) parent[i] = i;
        for (var column = 0; column < plane; column++)
        {
            if ((column & LookMask) == 0) cancellationToken.ThrowIfCancellationRequested();
            if (east[column] > 0) Join(parent, column, column + 1);
            if (north[column] > 0) Join(parent, column, column + grid.Columns);
        }

        foreach (var link in network.Links) Join(parent, plane + link.Node, (link.Row * grid.Columns) + link.Column);
        foreach (var link in nodeLinks) Join(parent, plane + link.First, plane + link.Second);
        var sums = new (double Sink, double Inside)[parent.Length];
        for (var column = 0; column < plane; column++)
        {
            if ((column & LookMask) == 0) cancellationToken.ThrowIfCancellationRequested();
            ref var sum = ref sums[Root(parent, column)];
            (sum.Sink, sum.Inside) = (sum.Sink + sink[column], sum.Inside + east[column] + north[column]);
        }

        for (var node = 0; node < grid.NodeCount; node++) sums[Root(parent, plane + node)].Sink += grid.NodeToSink[node];
        return Number(grid, parent, sums);
    }

    private static ClusterLabels Number(ConductanceGrid grid, int[] parent, (double Sink, double Inside)[] sums)
    {
        var number = new int[parent.Length];
        List<(double Sink, double Inside)> weak = [];
        var others = false;
        for (var i = 0; i < parent.Length; i++)
        {
            // A root is the least member of its piece, so it is numbered before the others.
            if (parent[i] != i) number[i] = number[Root(parent, i)];
            else if (IsWeak(sums[i]))
            {
                number[i] = weak.Count;
                weak.Add(sums[i]);
            }
            else
            {
                number[i] = -1;
                others |= sums[i].Sink > 0;
            }
        }

        if (weak.Count == 0) return ClusterLabels.None;
        int plane = grid.Columns * grid.Rows;
        var label = new int[grid.CellCount + grid.NodeCount];
        for (var start = 0; start < grid.CellCount; start += plane) number.AsSpan(0, plane).CopyTo(label.AsSpan(start));
        number.AsSpan(plane).CopyTo(label.AsSpan(grid.CellCount));
        return new(label, [.. weak.Select(_ => -1)], [.. weak.Select(piece => piece.Inside)], [.. weak.Select(piece => piece.Sink)], weak.Count == 1 && !others);
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

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private static double[] OverSheets(float[] values, int plane, CancellationToken cancellationToken)
    {
        var sum = new double[plane];
        var column = 0;
        for (; column + 16 <= plane; column += 16)
        {
            if ((column & LookMask) == 0) cancellationToken.ThrowIfCancellationRequested();
            Vector512<double> low = default, high = default;
            for (var i = column; i < values.Length; i += plane)
            {
                var (l, h) = Vector512.Widen(Vector512.Create<float>(values.AsSpan(i, 16)));
                (low, high) = (low + l, high + h);
            }

            low.CopyTo(sum, column);
            high.CopyTo(sum, column + 8);
        }

        for (; column < plane; column++)
        {
            for (var i = column; i < values.Length; i += plane) sum[column] += values[i];
        }

        return sum;
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private static void Join(int[] parent, int a, int b)
    {
        int ra = Root(parent, a), rb = Root(parent, b);
        if (ra != rb) parent[Math.Max(ra, rb)] = Math.Min(ra, rb);
    }

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static int Root(int[] parent, int i)
    {
        while (parent[i] != i) i = parent[i] = parent[parent[i]];
        return i;
    }
}
