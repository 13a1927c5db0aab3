using System.Globalization;
using System.Text;
using HeatSpread.Solver.Kernels;
using HeatSpread.Solver.Multigrid;

namespace HeatSpread.Solver;

/// <summary>
/// Conjugate gradients preconditioned by multigrid for one <see cref="ConductanceGrid"/>. Immutable once prepared: many solves may run on it at once.
/// Unknowns without a way to the sink (absent cells among them) are left out and get temperature 0; with heat in them a solve ends as <see cref="SolveStatus.Unbounded"/>.
/// Disposing gives the memory to the next solver on the same <see cref="SolverResources"/>, once the last solve that runs has ended; without it the collector takes the memory.
/// </summary>
public sealed class MultigridSolver : IDisposable
{
    private readonly ConductanceGrid _grid;
    private readonly Islands? _islands;
    private readonly PreparedSystem? _system;
    private readonly SolverResources _resources;

    private int _disposed;

    private MultigridSolver(ConductanceGrid grid, Islands? islands, PreparedSystem? system, SolverResources resources) =>
        (_grid, _islands, _system, _resources) = (grid, islands, system, resources);

    /// <summary>One unknown of each piece of at least two unknowns that has no way to the sink, heated or not, ascending.</summary>
    public IReadOnlyList<int> FloatingPieces => _islands?.Representatives ?? [];

    /// <summary>Sets up the hierarchy. The grid's arrays must not change afterwards.</summary>
    /// <param name="grid">The system.</param>
    /// <param name="threads">Threads that a solve may use, at least 1.</param>
    /// <param name="cancellationToken">Gives up the set-up with an <see cref="OperationCanceledException"/>.</param>
    /// <exception cref="ArgumentException">A link names a node or cell that does not exist.</exception>
    public static MultigridSolver Prepare(ConductanceGrid grid, int threads, CancellationToken cancellationToken) => Prepare(grid, new SolverResources(threads), cancellationToken);

    /// <summary>Sets up the hierarchy. The grid's arrays must not change afterwards.</summary>
    /// <param name="grid">The system.</param>
    /// <param name="resources">Cores and memory, shared with other solvers.</param>
    /// <param name="cancellationToken">Gives up the set-up with an <see cref="OperationCanceledException"/>.</param>
    /// <exception cref="ArgumentException">A link names a node or cell that does not exist.</exception>
    public static MultigridSolver Prepare(ConductanceGrid grid, SolverResources resources, CancellationToken cancellationToken)
    {
        ArgumentNullException.ThrowIfNull(grid);
        ArgumentNullException.ThrowIfNull(resources);
        NetworkCheck.ThrowIfLinkOutside(grid);
        return resources.Run(grid.CellCount, Build, cancellationToken);

        MultigridSolver Build(ThreadTeam team)
        {
            if (!NetworkCheck.IsSound(grid, team, out var range)) return new(grid, null, null, resources);
            var islands = Islands.Find(grid, team);
            return new(grid, islands, PreparedSystem.Build(grid, range, islands, resources, team), resources);
        }
    }

    /// <summary>
    /// Sets up the hierarchy of a network much like another one. Where the same links are there, of whatever conductance, nothing is searched again: pieces without a way to the sink are the same, and
    /// clusters serve though they would now be a little different, as they tell only where offsets are worth having. Else as <see cref="Prepare(ConductanceGrid, SolverResources, CancellationToken)"/>.
    /// </summary>
    /// <param name="like">Prepared before; it stays as it is, and whether it was disposed of does not matter. Its grid's arrays must not change either.</param>
    /// <param name="grid">The system. Its arrays must not change afterwards.</param>
    /// <param name="resources">Cores and memory, shared with other solvers.</param>
    /// <param name="cancellationToken">Gives up the set-up with an <see cref="OperationCanceledException"/>.</param>
    /// <exception cref="ArgumentException">A link names a node or cell that does not exist.</exception>
    public static MultigridSolver PrepareLike(MultigridSolver like, ConductanceGrid grid, SolverResources resources, CancellationToken cancellationToken)
    {
        ArgumentNullException.ThrowIfNull(like);
        ArgumentNullException.ThrowIfNull(grid);
        NetworkCheck.ThrowIfLinkOutside(grid);
        if (like._system == null || like._islands == null || !NetworkCheck.HaveSameLinks(like._grid, grid, cancellationToken)) return Prepare(grid, resources, cancellationToken);
        return resources.Run(grid.CellCount, Build, cancellationToken);

        MultigridSolver Build(ThreadTeam team) =>
            NetworkCheck.IsSound(grid, team, out var range) ? new(grid, like._islands, PreparedSystem.Build(grid, range, like._islands, resources, team, like._system), resources) : new(grid, null, null, resources);
    }

    /// <summary>Solves for the temperatures of all unknowns.</summary>
    /// <param name="heat">W into each unknown: cells, then nodes.</param>
    /// <param name="temperature">K over the sink; on entry the first guess (zeros will do), on return the field, 0 where there is no cell.</param>
    /// <param name="settings">Tolerance and limits.</param>
    /// <param name="progress">Told of (iteration, relative residual) after each iteration; may be null. It may be called in another thread than the caller's, who waits meanwhile, and must not solve on the same <see cref="SolverResources"/> itself.</param>
    /// <param name="cancellationToken">Ends the solve with <see cref="SolveStatus.Cancelled"/>.</param>
    public SolveReport Solve(ReadOnlySpan<double> heat, Span<double> temperature, SolveSettings settings, IProgress<(int Iteration, double RelativeResidual)>? progress, CancellationToken cancellationToken) =>
        Solve(heat, temperature, settings, int.MaxValue, progress, cancellationToken);

    private SolveReport Solve(ReadOnlySpan<double> heat, Span<double> temperature, SolveSettings settings, int mostThreads, IProgress<(int Iteration, double RelativeResidual)>? progress, CancellationToken cancellationToken)
    {
        ArgumentNullException.ThrowIfNull(settings);
        var unknowns = _grid.CellCount + _grid.NodeCount;
        if (heat.Length != unknowns || temperature.Length != unknowns) throw new ArgumentException($"Heat and temperature must hold {unknowns} values, one for each cell and node.");
        ArgumentOutOfRangeException.ThrowIfLessThan(settings.MaximumIterations, 1);
        if (!(settings.Tolerance is >= 1e-12 and <= 0.1)) throw new ArgumentOutOfRangeException(nameof(settings), settings.Tolerance, "The tolerance must be from 1e-12 to 0.1.");
        if (settings.HeatMade is < 0 or double.NaN) throw new ArgumentOutOfRangeException(nameof(settings), settings.HeatMade, "The heat made must not be negative.");

        // Whether all is finite, the threads of the solve find out, where there is one.
        var heated = _islands?.Heated(heat) ?? [];
        if (_system == null || _islands == null || (heated.Length > 0 && !(VectorKernels.AllFinite(heat) && VectorKernels.AllFinite(temperature)))) return Report(SolveStatus.BadSystem, 0, double.NaN, double.NaN, double.NaN);
        if (heated.Length > 0) return Report(SolveStatus.Unbounded, 0, 1, VectorKernels.Sum(heat), 0) with { Islands = heated };
        ObjectDisposedException.ThrowIf(_disposed != 0 || !_system.Hierarchy.TryEnter(), this);
        try
        {
            return _system.Solve(heat, temperature, settings, mostThreads, progress, cancellationToken);
        }
        finally
        {
            _system.Hierarchy.Leave();
        }
    }

    /// <summary>
    /// Solves for many heats at once: each on a core of its own as long as there are as many heats as cores, which costs less than all cores on one after the other.
    /// Bit for bit what <see cref="Solve(ReadOnlySpan{double}, Span{double}, SolveSettings, IProgress{ValueTuple{int, double}}, CancellationToken)"/> gives for each alone.
    /// </summary>
    /// <param name="heats">W into each unknown, one array a solve.</param>
    /// <param name="temperatures">K over the sink, one array a solve: first guesses on entry, fields on return.</param>
    /// <param name="settings">Tolerance and limits of each.</param>
    /// <param name="cancellationToken">Ends those that run, and those to come, with <see cref="SolveStatus.Cancelled"/>.</param>
    public SolveReport[] Solve(IReadOnlyList<double[]> heats, IReadOnlyList<double[]> temperatures, SolveSettings settings, CancellationToken cancellationToken)
    {
        ArgumentNullException.ThrowIfNull(heats);
        ArgumentNullException.ThrowIfNull(temperatures);
        ArgumentOutOfRangeException.ThrowIfNotEqual(temperatures.Count, heats.Count);
        var reports = new SolveReport[heats.Count];
        var options = new ParallelOptions { MaxDegreeOfParallelism = Math.Max(1, Math.Min(_resources.Cores, heats.Count)) };
        // The first would else take all cores, and the next ones theirs beside it.
        Parallel.For(0, heats.Count, options, k => reports[k] = Solve(heats[k], temperatures[k], settings, Math.Max(1, _resources.Cores / (heats.Count - k)), null, cancellationToken));
        return reports;
    }

    /// <summary>
    /// A solver for the same network with other links of the cells to the sink, as films have that depend on temperature. Where the links differ little from those that the hierarchy
    /// was built for, both share it: residuals are of the new network, the hierarchy's own serve as corrections. Else it sets up a new one. This one stays as it is.
    /// </summary>
    /// <param name="toSink">W/K, one a cell; must not change afterwards.</param>
    /// <param name="cancellationToken">Gives up the set-up with an <see cref="OperationCanceledException"/>.</param>
    public MultigridSolver WithSinks(float[] toSink, CancellationToken cancellationToken)
    {
        var grid = _grid.WithSinks(toSink);
        if (_system == null || _islands == null || !_system.Suits(toSink)) return Prepare(grid, _resources, cancellationToken);
        ObjectDisposedException.ThrowIf(_disposed != 0 || !_system.Hierarchy.TryEnter(), this);
        try
        {
            return new(grid, _islands, _system.WithSinks(grid, cancellationToken), _resources);
        }
        catch (OperationCanceledException)
        {
            _system.Hierarchy.Leave();
            throw;
        }
    }

    /// <summary>Whether one was set up for both.</summary>
    public bool SharesHierarchyWith(MultigridSolver other) => _system != null && other != null && _system.Hierarchy == other._system?.Hierarchy;

    /// <summary>Null where the network is not sound.</summary>
    internal Hierarchy? Levels => _system?.Hierarchy;

    public void Dispose()
    {
        if (Interlocked.Exchange(ref _disposed, 1) == 0) _system?.Hierarchy.Leave();
    }

    /// <summary>A table of the levels for the eye: size, unknowns, nonzeros, node links, cells in thin runs, and the operator complexity (all nonzeros over the finest level's).</summary>
    public string DescribeLevels()
    {
        if (_system == null) return "no levels: the network holds a conductance that is negative or not finite" + Environment.NewLine;
        var text = new StringBuilder("level      size            unknowns    nonzeros  node links  cells in runs" + Environment.NewLine);
        var rows = _system.Hierarchy.DescribeLevels();
        for (var l = 0; l < rows.Count; l++)
            text.AppendLine(CultureInfo.InvariantCulture, $"{l,5}  {rows[l].Size,-15} {rows[l].Unknowns,10} {rows[l].Nonzeros,11} {rows[l].Links,11} {rows[l].RunCells,14}");
        return text.AppendLine(CultureInfo.InvariantCulture, $"operator complexity {(double)rows.Sum(r => r.Nonzeros) / rows[0].Nonzeros:F2}").ToString();
    }

    internal static SolveReport Report(SolveStatus status, int iterations, double residual, double heatIn, double heatOut) =>
        new() { Status = status, Iterations = iterations, RelativeResidual = residual, HeatIn = heatIn, HeatOut = heatOut };
}
