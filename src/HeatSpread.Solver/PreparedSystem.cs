using HeatSpread.Solver.Multigrid;

namespace HeatSpread.Solver;

/// <summary>A sound network with its hierarchy.</summary>
internal sealed class PreparedSystem
{
    /// <summary>
    /// Sum of changes of links to the sink over the links, up to which the hierarchy of the former ones will do. Each round of the refinement then leaves about this share of
    /// the residual, more than the <see cref="Refinement"/> asks of a round: up to here it costs less than another hierarchy.
    /// </summary>
    private const double MostChange = 0.1;

    private readonly SolverResources _resources;

    /// <summary>What the hierarchy was built for.</summary>
    private readonly float[] _hierarchySinks;

    private PreparedSystem(ConductanceGrid grid, Conductances network, Pieces pieces, NodeLinkTable links, Hierarchy hierarchy, float[] hierarchySinks, SolverResources resources) =>
        (Grid, Network, Pieces, Links, Hierarchy, _hierarchySinks, _resources) = (grid, network, pieces, links, hierarchy, hierarchySinks, resources);

    public ConductanceGrid Grid { get; }

    /// <summary>The grid without its floating pieces.</summary>
    public Conductances Network { get; }

    public Pieces Pieces { get; }

    public NodeLinkTable Links { get; }

    public Hierarchy Hierarchy { get; }

    /// <summary>False where it was built for other links to the sink.</summary>
    public bool HasOwnHierarchy => ReferenceEquals(Grid.ToSink, _hierarchySinks);

    public static PreparedSystem Build(ConductanceGrid grid, Islands islands, SolverResources resources, CancellationToken cancellationToken)
    {
        var plane = grid.Columns * grid.Rows;
        var links = NodeLink.Merge(grid.NodeCellLinks.Where(l => !islands.Contains(l.Cell))
            .Select(l => new NodeLink(l.Node, l.Cell % grid.Columns, l.Cell % plane / grid.Columns, l.Cell / plane, l.Conductance)));
        var nodeLinks = grid.NodeNodeLinks.Where(l => l.Conductance > 0 && !islands.Contains(grid.CellCount + l.First)).Select(l => (l.First, l.Second, l.Conductance)).ToArray();
        // Single cells without a conductance, as there are outside every outline, are left out as they are.
        float[] Kept(float[] values) => islands.Representatives.Length > 0 ? [.. values.Select((g, i) => islands.Contains(i) ? 0 : g)] : values;
        var network = new Conductances(grid.Columns, grid.Rows, grid.Sheets, grid.Columns, plane, Kept(grid.East), Kept(grid.North), Kept(grid.Below), Kept(grid.ToSink), links);
        cancellationToken.ThrowIfCancellationRequested();
        var pieces = Pieces.Find(grid, network);
        cancellationToken.ThrowIfCancellationRequested();
        var raised = pieces.AnyRaised ? new Conductances(grid.Columns, grid.Rows, grid.Sheets, grid.Columns, plane, network.East, network.North, network.Below, pieces.Raised(network.ToSink), links) : network;
        using var team = resources.Team(grid.CellCount, cancellationToken);
        return new(grid, network, pieces, new(grid, links, nodeLinks), Hierarchy.Build(raised, pieces.Raised(grid.NodeToSink), nodeLinks, team, resources.Scratch, cancellationToken), grid.ToSink, resources);
    }

    /// <summary>Whether the hierarchy will do for other links to the sink: the same cells have some, and they differ little.</summary>
    public bool Suits(float[] toSink)
    {
        double change = 0, sum = 0;
        for (var i = 0; i < toSink.Length; i++)
        {
            float now = toSink[i], then = _hierarchySinks[i];
            if (!(now >= 0 && now <= float.MaxValue && (now > 0) == (then > 0))) return false;
            change += Math.Abs(now - then);
            sum += then;
        }

        return change <= MostChange * sum;
    }

    /// <summary>The network with other links to the sink that <see cref="Suits"/> approves, on this hierarchy.</summary>
    public PreparedSystem WithSinks(ConductanceGrid grid, Islands islands)
    {
        float[] kept = islands.Representatives.Length > 0 ? [.. grid.ToSink.Select((g, i) => islands.Contains(i) ? 0 : g)] : grid.ToSink;
        var network = new Conductances(grid.Columns, grid.Rows, grid.Sheets, Network.RowStride, Network.SheetStride, Network.East, Network.North, Network.Below, kept, Network.Links);
        return new(grid, network, Pieces.Find(grid, network), Links, Hierarchy, _hierarchySinks, _resources);
    }

    /// <summary>As a solve of <see cref="MultigridSolver"/>, for a sound system without heat in floating pieces.</summary>
    public unsafe SolveReport Solve(ReadOnlySpan<double> heat, Span<double> temperature, SolveSettings settings, IProgress<(int, double)>? progress, CancellationToken cancellationToken)
    {
        using var workspace = new Workspace(Hierarchy, _resources.Scratch);
        using var team = _resources.Team(Grid.CellCount, cancellationToken);
        fixed (double* q = heat, t = temperature)
        {
            return new Refinement(this, workspace, team, q, t, settings, progress, cancellationToken).Run();
        }
    }
}
