using System.Runtime.CompilerServices;
using System.Runtime.Intrinsics;

namespace HeatSpread.Solver;

/// <summary>What can be said of a network before it is solved.</summary>
internal static class NetworkCheck
{
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
    public static bool IsSound(ConductanceGrid grid) =>
        AllSound(grid.East) && AllSound(grid.North) && AllSound(grid.Below) && AllSound(grid.ToSink) && EdgesClosed(grid)
        && grid.NodeToSink.All(IsConductance) && grid.NodeCellLinks.All(l => IsConductance(l.Conductance)) && grid.NodeNodeLinks.All(l => IsConductance(l.Conductance));

    private static bool IsConductance(double g) => g >= 0 && double.IsFinite(g);

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private static bool AllSound(float[] values)
    {
        var i = 0;
        for (; i + 16 <= values.Length; i += 16)
        {
            var g = Vector512.Create<float>(values.AsSpan(i, 16));
            if (!Vector512.EqualsAll((Vector512.GreaterThanOrEqual(g, Vector512<float>.Zero) & Vector512.LessThanOrEqual(g, Vector512.Create(float.MaxValue))).AsInt32(), Vector512<int>.AllBitsSet)) return false;
        }

        for (; i < values.Length; i++)
        {
            if (!(values[i] >= 0 && values[i] <= float.MaxValue)) return false;
        }

        return true;
    }

    private static bool EdgesClosed(ConductanceGrid grid)
    {
        int plane = grid.Columns * grid.Rows;
        for (var s = 0; s < grid.Sheets; s++)
        {
            for (var row = 0; row < grid.Rows; row++)
            {
                if (grid.East[(s * plane) + (row * grid.Columns) + grid.Columns - 1] != 0) return false;
            }

            if (grid.North.AsSpan((s * plane) + plane - grid.Columns, grid.Columns).ContainsAnyExcept(0f)) return false;
        }

        return !grid.Below.AsSpan(plane * (grid.Sheets - 1), plane).ContainsAnyExcept(0f);
    }
}
