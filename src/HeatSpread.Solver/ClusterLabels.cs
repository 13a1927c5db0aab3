using HeatSpread.Solver.Multigrid;

namespace HeatSpread.Solver;

/// <summary>Which cluster each unknown of a network is in.</summary>
/// <param name="Label">The innermost cluster of each unknown, cells, then nodes; -1 where it is in none. Null where all are in cluster 0, or, where there is no cluster, in none.</param>
/// <param name="Parent">Of each cluster the one around it, which has a greater number; -1 for none.</param>
/// <param name="Inside">Sum of the links inside each cluster, W/K.</param>
/// <param name="Outside">Sum of the links from each cluster to all else and the sink, W/K, as far as rounding lets see.</param>
/// <param name="IsOne">Whether all that the network links is in one cluster.</param>
internal sealed record ClusterLabels(int[]? Label, int[] Parent, double[] Inside, double[] Outside, bool IsOne)
{
    public static ClusterLabels None { get; } = new(null, [], [], [], false);

    public int Count => Parent.Length;

    /// <summary>Whether there are others than pieces that nothing but the sink joins.</summary>
    public bool HasOthers { get; init; }

    /// <summary>The sink, as -1, is in none.</summary>
    public int Of(int unknown) => unknown < 0 || Count == 0 ? -1 : Label == null ? 0 : Label[unknown];

    /// <summary>Links to the sink of all that is in a cluster, W/K.</summary>
    public double ToSink(ConductanceGrid grid, Conductances network)
    {
        var sum = network.SinkOfRow.Sum();
        for (var node = 0; node < grid.NodeCount; node++) sum += Of(grid.CellCount + node) < 0 ? 0 : grid.NodeToSink[node];
        return sum;
    }

    /// <summary>
    /// Looks for clusters: in the plan alone, where it is seen that there are none but the pieces that nothing but the sink joins; else everywhere.
    /// </summary>
    public static ClusterLabels Find(ConductanceGrid grid, Conductances network, (int First, int Second, double Conductance)[] nodeLinks, ConductanceRange range, ThreadTeam team, ScratchPool pool) =>
        (range.IsNarrowAtNodes(network.Links) ? PlanPieces.Find(grid, network, nodeLinks, range, team, pool) : null) ?? ClusterTree.Find(grid, network, nodeLinks, team.Cancellation);
}

/// <summary>Of the conductances between cells that are not zero, W/K.</summary>
internal readonly record struct ConductanceRange(float Least, float Greatest)
{
    /// <summary>Over the greatest, from which on a conductance between cells is strong.</summary>
    private const double StrongShare = 1e-5;

    /// <summary>Greatest link of a node to a cell over the greatest between cells, up to which there is nothing to look for about nodes, which are held in double.</summary>
    private const double NarrowAtNodes = 1e4;

    /// <summary>From which on single precision tells what passes it from the roundings of what passes the greatest.</summary>
    public float Strong => (float)(StrongShare * Greatest);

    /// <summary>Whether all are strong.</summary>
    public bool IsNarrow => Least >= Strong;

    public bool IsNarrowAtNodes(NodeLink[] links)
    {
        foreach (var link in links)
        {
            if (link.Conductance > NarrowAtNodes * Greatest) return false;
        }

        return true;
    }
}
