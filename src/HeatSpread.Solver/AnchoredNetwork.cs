using System.Runtime.CompilerServices;
using HeatSpread.Solver.Multigrid;

namespace HeatSpread.Solver;

/// <summary>
/// The network as the hierarchy, which is in single precision, gets it. A cluster that is tied to all else by less than the roundings of the links inside would drift: each step would make more of what the last one's
/// rounding left in its mean. So each unknown of such clusters gets a link to the sink of a few roundings of its own links. What that makes wrong is, but for as little, the offsets of the clusters alone, which are set in double.
/// </summary>
internal static class AnchoredNetwork
{
    /// <summary>Of an unknown's links, what its link to the sink is made more by. No more: what the hierarchy has too much, every round leaves to the next one.</summary>
    private const double Anchor = 4e-7;

    /// <summary>Links to the outside over links inside below which a cluster needs it.</summary>
    private const double Loose = 2e-6;

    public static (Conductances Network, double[] NodeToSink) Of(ClusterLabels labels, ConductanceGrid grid, Conductances network, (int First, int Second, double Conductance)[] nodeLinks, CancellationToken cancellationToken)
    {
        var isLoose = new bool[labels.Count];
        // What is around a cluster has a greater number.
        for (var k = labels.Count - 1; k >= 0; k--) isLoose[k] = labels.Outside[k] < Loose * labels.Inside[k] || (labels.Parent[k] is >= 0 and var parent && isLoose[parent]);
        if (!isLoose.Contains(true)) return (network, grid.NodeToSink);
        var total = LargeArray.Filled(grid.CellCount + grid.NodeCount, 0.0, cancellationToken);
        AddCells(network, total, cancellationToken);
        foreach (var link in network.Links)
        {
            total[grid.CellCount + link.Node] += link.Conductance;
            total[(link.Sheet * network.SheetStride) + (link.Row * network.RowStride) + link.Column] += link.Conductance;
        }

        foreach (var (a, b, g) in nodeLinks)
        {
            total[grid.CellCount + a] += g;
            total[grid.CellCount + b] += g;
        }

        double Anchored(int unknown) => labels.Of(unknown) is >= 0 and var cluster && isLoose[cluster] ? Anchor * total[unknown] : 0;
        var toSink = new float[network.ToSink.Length];
        for (var i = 0; i < toSink.Length; i++)
        {
            if ((i & 0xFFFF) == 0) cancellationToken.ThrowIfCancellationRequested();
            toSink[i] = (float)(network.ToSink[i] + Anchored(i));
        }

        double[] nodeToSink = [.. grid.NodeToSink.Select((g, node) => g + Anchored(grid.CellCount + node))];
        return (new(network.Columns, network.Rows, network.Sheets, network.RowStride, network.SheetStride, network.East, network.North, network.Below, toSink, network.Links), nodeToSink);
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private static void AddCells(Conductances network, double[] total, CancellationToken cancellationToken)
    {
        foreach (var (conductance, step) in (ReadOnlySpan<(float[], int)>)[(network.East, 1), (network.North, network.RowStride), (network.Below, network.SheetStride)])
        {
            for (var i = 0; i < conductance.Length; i++)
            {
                if ((i & 0x3FFFF) == 0) cancellationToken.ThrowIfCancellationRequested();
                if (conductance[i] <= 0) continue;
                total[i] += conductance[i];
                total[i + step] += conductance[i];
            }
        }
    }
}
