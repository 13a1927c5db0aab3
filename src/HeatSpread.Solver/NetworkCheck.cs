using System.Runtime.CompilerServices;
using System.Runtime.Intrinsics;

namespace HeatSpread.Solver;

/// <summary>What can be said of a network before it is solved.</summary>
internal static class NetworkCheck
{
    /// <summary>Zero at each conductance before which to look whether to go on.</summary>
    private const int LookMask = (1 << 20) - 1;

    /// <summary>Links that name a node or cell that does not exist are a caller's mistake.</summary>
    /// <exception cref="ArgumentException">Such a link is there.</exception>
    public static void ThrowIfLinkOutside(ConductanceGrid grid)
    {
        foreach (var link in grid.NodeCellLinks)
        {
            if ((uint)link.Node >= (uint)grid.NodeCount || (uint)link.Cell >= (uint)grid.CellCount) throw new ArgumentException($"The link {link} names a node or cell outside the network.", nameof(grid));
        }

        foreach (var link in grid.NodeNodeLinks)
        {
            if ((uint)link.First >= (uint)grid.NodeCount || (uint)link.Second >= (uint)grid.NodeCount || link.First == link.Second) throw new ArgumentException($"The link {link} does not join two nodes of the network.", nameof(grid));
        }
    }

    /// <summary>True where every conductance is finite and not negative, and none leads over the edge of the box.</summary>
    /// <param name="grid">The network.</param>
    /// <param name="team">Shares the cells.</param>
    /// <param name="range">Of the conductances between cells.</param>
    public static bool IsSound(ConductanceGrid grid, ThreadTeam team, out ConductanceRange range)
    {
        range = new(float.PositiveInfinity, 0);
        return AllSound(grid, grid.East, team, ref range) && AllSound(grid, grid.North, team, ref range) && AllSound(grid, grid.Below, team, ref range) && AreOthersSound(grid, team);
    }

    /// <summary>Whether two networks of the same size join the same unknowns with each other and with the sink.</summary>
    public static bool HaveSameLinks(ConductanceGrid first, ConductanceGrid second, CancellationToken cancellationToken) =>
        (first.Columns, first.Rows, first.Sheets, first.NodeCount) == (second.Columns, second.Rows, second.Sheets, second.NodeCount)
        && AreSamePositive(first.East, second.East, cancellationToken) && AreSamePositive(first.North, second.North, cancellationToken) && AreSamePositive(first.Below, second.Below, cancellationToken) && AreSamePositive(first.ToSink, second.ToSink, cancellationToken)
        && first.NodeToSink.Select(g => g > 0).SequenceEqual(second.NodeToSink.Select(g => g > 0))
        && first.NodeCellLinks.Select(l => (l.Node, l.Cell, l.Conductance > 0)).SequenceEqual(second.NodeCellLinks.Select(l => (l.Node, l.Cell, l.Conductance > 0)))
        && first.NodeNodeLinks.Select(l => (l.First, l.Second, l.Conductance > 0)).SequenceEqual(second.NodeNodeLinks.Select(l => (l.First, l.Second, l.Conductance > 0)));

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private static bool AreSamePositive(float[] first, float[] second, CancellationToken cancellationToken)
    {
        var zero = Vector512<float>.Zero;
        var i = 0;
        for (; i + 16 <= first.Length; i += 16)
        {
            if ((i & LookMask) == 0) cancellationToken.ThrowIfCancellationRequested();
            var differ = Vector512.GreaterThan(Vector512.LoadUnsafe(ref first[i]), zero) ^ Vector512.GreaterThan(Vector512.LoadUnsafe(ref second[i]), zero);
            if (differ.ExtractMostSignificantBits() != 0) return false;
        }

        for (; i < first.Length; i++)
        {
            if ((first[i] > 0) != (second[i] > 0)) return false;
        }

        return true;
    }

    private static bool AreOthersSound(ConductanceGrid grid, ThreadTeam team)
    {
        ConductanceRange toSink = default;
        return AllSound(grid, grid.ToSink, team, ref toSink) && EdgesClosed(grid, team)
        && grid.NodeToSink.All(IsConductance) && grid.NodeCellLinks.All(l => IsConductance(l.Conductance)) && grid.NodeNodeLinks.All(l => IsConductance(l.Conductance));
    }

    private static bool IsConductance(double g) => g >= 0 && double.IsFinite(g);

    private static bool AllSound(ConductanceGrid grid, float[] values, ThreadTeam team, ref ConductanceRange range)
    {
        var gate = new Lock();
        var (whole, isSound) = (range, true);
        team.ForRows(grid.Rows * grid.Sheets, grid.Columns, (from, to) =>
        {
            ConductanceRange part = new(float.PositiveInfinity, 0);
            var isPartSound = AllSound(values.AsSpan(from * grid.Columns, (to - from) * grid.Columns), ref part);
            lock (gate) (whole, isSound) = (new(Math.Min(whole.Least, part.Least), Math.Max(whole.Greatest, part.Greatest)), isSound && isPartSound);
        });
        range = whole;
        return isSound;
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private static bool AllSound(ReadOnlySpan<float> values, ref ConductanceRange range)
    {
        Vector512<float> zero = Vector512<float>.Zero, none = Vector512.Create(float.PositiveInfinity), least = none, greatest = zero;
        var i = 0;
        for (; i + 16 <= values.Length; i += 16)
        {
            var g = Vector512.Create(values.Slice(i, 16));
            if (!Vector512.GreaterThanOrEqualAll(g, zero)) return false;
            greatest = Vector512.Max(greatest, g);
            least = Vector512.Min(least, Vector512.ConditionalSelect(Vector512.GreaterThan(g, zero), g, none));
        }

        float low = range.Least, high = range.Greatest;
        for (var lane = 0; lane < 16; lane++) (low, high) = (Math.Min(low, least[lane]), Math.Max(high, greatest[lane]));
        for (; i < values.Length; i++)
        {
            if (!(values[i] >= 0)) return false;
            high = Math.Max(high, values[i]);
            if (values[i] > 0) low = Math.Min(low, values[i]);
        }

        range = new(low, high);
        return high <= float.MaxValue;
    }

    private static bool EdgesClosed(ConductanceGrid grid, ThreadTeam team)
    {
        var isOpen = false;
        team.ForRows(grid.Rows * grid.Sheets, grid.Columns, (from, to) =>
        {
            for (var k = from; k < to; k++)
            {
                var first = k * grid.Columns;
                bool isLastRow = k % grid.Rows == grid.Rows - 1, isLastSheet = k / grid.Rows == grid.Sheets - 1;
                if (grid.East[first + grid.Columns - 1] != 0
                    || (isLastRow && grid.North.AsSpan(first, grid.Columns).ContainsAnyExcept(0f))
                    || (isLastSheet && grid.Below.AsSpan(first, grid.Columns).ContainsAnyExcept(0f))) Volatile.Write(ref isOpen, true);
            }
        });
        return !isOpen;
    }
}
