using HeatSpread.Solver.Multigrid;

namespace HeatSpread.Solver;

/// <summary>A sound network with its hierarchy.</summary>
internal sealed class PreparedSystem
{
    private PreparedSystem(ConductanceGrid grid, Conductances network, NodeLinkTable links, Hierarchy hierarchy) => (Grid, Network, Links, Hierarchy) = (grid, network, links, hierarchy);

    public ConductanceGrid Grid { get; }

    /// <summary>The grid without its floating pieces.</summary>
    public Conductances Network { get; }

    public NodeLinkTable Links { get; }

    public Hierarchy Hierarchy { get; }

    public static PreparedSystem Build(ConductanceGrid grid, Islands islands, CancellationToken cancellationToken)
    {
        var plane = grid.Columns * grid.Rows;
        var links = NodeLink.Merge(grid.NodeCellLinks.Where(l => !islands.Contains(l.Cell))
            .Select(l => new NodeLink(l.Node, l.Cell % grid.Columns, l.Cell % plane / grid.Columns, l.Cell / plane, l.Conductance)));
        var nodeLinks = grid.NodeNodeLinks.Where(l => l.Conductance > 0 && !islands.Contains(grid.CellCount + l.First)).Select(l => (l.First, l.Second, l.Conductance)).ToArray();
        float[] Kept(float[] values) => islands.Any ? [.. values.Select((g, i) => islands.Contains(i) ? 0 : g)] : values;
        var network = new Conductances(grid.Columns, grid.Rows, grid.Sheets, grid.Columns, plane, Kept(grid.East), Kept(grid.North), Kept(grid.Below), Kept(grid.ToSink), links);
        return new(grid, network, new(grid, links, nodeLinks), Hierarchy.Build(network, grid.NodeToSink, nodeLinks, cancellationToken));
    }

    public SolveReport Solve(ReadOnlySpan<double> heat, Span<double> temperature, SolveSettings settings, IProgress<(int, double)>? progress, CancellationToken cancellationToken)
    {
        var workspace = Hierarchy.Pool.Rent();
        try
        {
            return new Refinement(this, workspace, settings, progress, cancellationToken).Run(heat, temperature);
        }
        finally
        {
            Hierarchy.Pool.Return(workspace);
        }
    }
}
