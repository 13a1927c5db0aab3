using HeatSpread.Solver.Multigrid;

namespace HeatSpread.Solver;

/// <summary>A sound network with its hierarchy.</summary>
internal sealed class PreparedSystem
{
    private readonly SolverResources _resources;

    private PreparedSystem(ConductanceGrid grid, Conductances network, Pieces pieces, NodeLinkTable links, Hierarchy hierarchy, SolverResources resources) =>
        (Grid, Network, Pieces, Links, Hierarchy, _resources) = (grid, network, pieces, links, hierarchy, resources);

    public ConductanceGrid Grid { get; }

    /// <summary>The grid without its floating pieces.</summary>
    public Conductances Network { get; }

    public Pieces Pieces { get; }

    public NodeLinkTable Links { get; }

    public Hierarchy Hierarchy { get; }

    public static PreparedSystem Build(ConductanceGrid grid, Islands islands, SolverResources resources, CancellationToken cancellationToken)
    {
        var plane = grid.Columns * grid.Rows;
        var links = NodeLink.Merge(grid.NodeCellLinks.Where(l => !islands.Contains(l.Cell))
            .Select(l => new NodeLink(l.Node, l.Cell % grid.Columns, l.Cell % plane / grid.Columns, l.Cell / plane, l.Conductance)));
        var nodeLinks = grid.NodeNodeLinks.Where(l => l.Conductance > 0 && !islands.Contains(grid.CellCount + l.First)).Select(l => (l.First, l.Second, l.Conductance)).ToArray();
        float[] Kept(float[] values) => islands.Any ? [.. values.Select((g, i) => islands.Contains(i) ? 0 : g)] : values;
        var network = new Conductances(grid.Columns, grid.Rows, grid.Sheets, grid.Columns, plane, Kept(grid.East), Kept(grid.North), Kept(grid.Below), Kept(grid.ToSink), links);
        var pieces = Pieces.Find(grid, network);
        var raised = pieces.AnyRaised ? new Conductances(grid.Columns, grid.Rows, grid.Sheets, grid.Columns, plane, network.East, network.North, network.Below, pieces.Raised(network.ToSink), links) : network;
        using var team = resources.Team(grid.CellCount, cancellationToken);
        return new(grid, network, pieces, new(grid, links, nodeLinks), Hierarchy.Build(raised, pieces.Raised(grid.NodeToSink), nodeLinks, team, resources.Scratch, cancellationToken), resources);
    }

    /// <summary>As <see cref="MultigridSolver.Solve"/>, for a sound system without heat in floating pieces.</summary>
    public unsafe SolveReport Solve(ReadOnlySpan<double> heat, Span<double> temperature, SolveSettings settings, IProgress<(int, double)>? progress, CancellationToken cancellationToken)
    {
        using var workspace = new Workspace(Hierarchy, _resources.Scratch);
        using var team = _resources.Team(Grid.CellCount, cancellationToken);
        fixed (double* q = heat, t = temperature)
        {
            return new Refinement(this, workspace, team, q, t, settings, progress, cancellationToken).Run();
        }
    }

    /// <summary>Gives the hierarchy's memory back.</summary>
    public void Return() => Hierarchy.Return(_resources.Scratch);
}
