using HeatSpread.Solver.Kernels;
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

    private readonly (int First, int Second, double Conductance)[] _nodeLinks;

    private readonly ConductanceRange _range;

    private readonly ClusterLabels _labels;

    private readonly Islands _islands;

    /// <summary>1 from the first solve on, whose turn comes before that of others that wait: what was set up may still be in the caches.</summary>
    private int _isUsed;

    private PreparedSystem(ConductanceGrid grid, Conductances network, Islands islands, ClusterLabels labels, Clusters clusters, NodeLinkTable links, (int, int, double)[] nodeLinks, ConductanceRange range, Hierarchy hierarchy, float[] hierarchySinks, SolverResources resources)
    {
        (Grid, Network, Clusters, Links, Hierarchy) = (grid, network, clusters, links, hierarchy);
        (_islands, _labels, _nodeLinks, _range, _hierarchySinks, _resources) = (islands, labels, nodeLinks, range, hierarchySinks, resources);
    }

    public ConductanceGrid Grid { get; }

    /// <summary>The grid without its floating pieces.</summary>
    public Conductances Network { get; }

    public Clusters Clusters { get; }

    public NodeLinkTable Links { get; }

    public Hierarchy Hierarchy { get; }

    /// <summary>False where it was built for other links to the sink.</summary>
    public bool HasOwnHierarchy => ReferenceEquals(Grid.ToSink, _hierarchySinks);

    /// <param name="grid">Sound.</param>
    /// <param name="range">Of its conductances.</param>
    /// <param name="islands">Its pieces without a way to the sink.</param>
    /// <param name="resources">Cores and memory of its solves.</param>
    /// <param name="team">Threads that build it.</param>
    /// <param name="like">Of the same links, of other conductances: its clusters are taken. Null: they are searched.</param>
    public static PreparedSystem Build(ConductanceGrid grid, ConductanceRange range, Islands islands, SolverResources resources, ThreadTeam team, PreparedSystem? like = null)
    {
        var cancellationToken = team.Cancellation;
        var plane = grid.Columns * grid.Rows;
        var links = NodeLink.Merge(grid.NodeCellLinks.Where(l => !islands.Contains(l.Cell))
            .Select(l => new NodeLink(l.Node, l.Cell % grid.Columns, l.Cell % plane / grid.Columns, l.Cell / plane, l.Conductance)));
        var nodeLinks = grid.NodeNodeLinks.Where(l => l.Conductance > 0 && !islands.Contains(grid.CellCount + l.First)).Select(l => (l.First, l.Second, l.Conductance)).ToArray();
        // Single cells without a conductance, as there are outside every outline, are left out as they are.
        float[] Kept(float[] values) => islands.Without(values, cancellationToken);
        var network = new Conductances(grid.Columns, grid.Rows, grid.Sheets, grid.Columns, plane, Kept(grid.East), Kept(grid.North), Kept(grid.Below), Kept(grid.ToSink), links) { Exact = grid.Exact, SinkOfRow = SumSinks(grid, team) };
        cancellationToken.ThrowIfCancellationRequested();
        var labels = like?._labels ?? ClusterLabels.Find(grid, network, nodeLinks, range, team, resources.Scratch);
        var (anchored, nodeToSink) = AnchoredNetwork.Of(labels, grid, network, nodeLinks, cancellationToken);
        cancellationToken.ThrowIfCancellationRequested();
        var hierarchy = Hierarchy.Build(anchored, nodeToSink, nodeLinks, range, team, resources.Scratch);
        var clusters = like == null ? Clusters.Of(labels, grid, network, nodeLinks, team) : like.Clusters.In(labels, grid, network, nodeLinks, team);
        return new(grid, network, islands, labels, clusters, new(grid, links, nodeLinks), nodeLinks, range, hierarchy, grid.ToSink, resources);
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
    public PreparedSystem WithSinks(ConductanceGrid grid, CancellationToken cancellationToken)
    {
        var toSink = _islands.Without(grid.ToSink, cancellationToken);
        return _resources.Run(grid.CellCount, Build, cancellationToken);

        PreparedSystem Build(ThreadTeam team)
        {
            var network = new Conductances(grid.Columns, grid.Rows, grid.Sheets, Network.RowStride, Network.SheetStride, Network.East, Network.North, Network.Below, toSink, Network.Links) { Exact = grid.Exact, SinkOfRow = SumSinks(grid, team) };
            var labels = ClusterLabels.Find(grid, network, _nodeLinks, _range, team, _resources.Scratch);
            var clusters = Clusters.Of(labels, grid, network, _nodeLinks, team);
            return new(grid, network, _islands, labels, clusters, Links, _nodeLinks, _range, Hierarchy, _hierarchySinks, _resources);
        }
    }

    /// <summary>As a solve of <see cref="MultigridSolver"/>, for a sound system without heat in floating pieces.</summary>
    public unsafe SolveReport Solve(ReadOnlySpan<double> heat, Span<double> temperature, SolveSettings settings, int mostThreads, IProgress<(int, double)>? progress, CancellationToken cancellationToken)
    {
        fixed (double* q = heat, t = temperature)
        {
            double* heats = q, temperatures = t; // which stay where they are until the work is done, in whichever thread
            try
            {
                return _resources.Run(Grid.CellCount, Solve, cancellationToken, mostThreads, goesFirst: Interlocked.Exchange(ref _isUsed, 1) == 0);
            }
            catch (OperationCanceledException) when (cancellationToken.IsCancellationRequested)
            {
                // Before the first round or after the last: what a cancelled round knows, it says itself.
                _islands.Clear(t);
                return MultigridSolver.Report(SolveStatus.Cancelled, 0, double.NaN, double.NaN, double.NaN);
            }

            SolveReport Solve(ThreadTeam team)
            {
                using var workspace = Workspace.Rent(Hierarchy, _resources.Scratch, team);
                // Before, as what differs inside a cold piece would be residual; afterwards, as all cells of a board of one piece are raised together.
                _islands.Clear(temperatures, team);
                var report = new Refinement(this, workspace, team, heats, temperatures, settings, progress, cancellationToken).Run();
                if (report.Status == SolveStatus.Cancelled) _islands.Clear(temperatures);
                else _islands.Clear(temperatures, team);
                return report;
            }
        }
    }

    /// <summary>Floating pieces, which a network leaves out, have no way to the sink.</summary>
    private static double[] SumSinks(ConductanceGrid grid, ThreadTeam team)
    {
        var sum = new double[grid.Rows * grid.Sheets];
        team.ForRows(sum.Length, grid.Columns, (from, to) =>
        {
            for (var row = from; row < to; row++)
            {
                int first = row * grid.Columns, end = first + grid.Columns;
                sum[row] = grid.Exact is { } exact ? VectorKernels.Sum(exact.ToSink.AsSpan(first..end)) : VectorKernels.Sum(grid.ToSink.AsSpan(first..end));
            }
        });
        return sum;
    }
}
