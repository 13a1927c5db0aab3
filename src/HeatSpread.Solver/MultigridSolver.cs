using System.Globalization;
using System.Text;

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

    /// <summary>Solves that run, and one until this is disposed.</summary>
    private int _users = 1;
    private int _disposed;

    private MultigridSolver(ConductanceGrid grid, Islands? islands, PreparedSystem? system) => (_grid, _islands, _system) = (grid, islands, system);

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
        if (!NetworkCheck.IsSound(grid)) return new(grid, null, null);
        var islands = Islands.Find(grid, cancellationToken);
        return new(grid, islands, PreparedSystem.Build(grid, islands, resources, cancellationToken));
    }

    /// <summary>Solves for the temperatures of all unknowns.</summary>
    /// <param name="heat">W into each unknown: cells, then nodes.</param>
    /// <param name="temperature">K over the sink; on entry the first guess (zeros will do), on return the field, 0 where there is no cell.</param>
    /// <param name="settings">Tolerance and limits.</param>
    /// <param name="progress">Told of (iteration, relative residual) after each iteration; may be null.</param>
    /// <param name="cancellationToken">Ends the solve with <see cref="SolveStatus.Cancelled"/>.</param>
    public SolveReport Solve(ReadOnlySpan<double> heat, Span<double> temperature, SolveSettings settings, IProgress<(int Iteration, double RelativeResidual)>? progress, CancellationToken cancellationToken)
    {
        ArgumentNullException.ThrowIfNull(settings);
        var unknowns = _grid.CellCount + _grid.NodeCount;
        if (heat.Length != unknowns || temperature.Length != unknowns) throw new ArgumentException($"Heat and temperature must hold {unknowns} values, one for each cell and node.");
        ArgumentOutOfRangeException.ThrowIfLessThan(settings.MaximumIterations, 1);
        if (!(settings.Tolerance is >= 1e-12 and <= 0.1)) throw new ArgumentOutOfRangeException(nameof(settings), settings.Tolerance, "The tolerance must be from 1e-12 to 0.1.");

        if (_system == null || _islands == null || !AllFinite(heat) || !AllFinite(temperature)) return Report(SolveStatus.BadSystem, 0, double.NaN, double.NaN, double.NaN);
        var heated = _islands.Heated(heat);
        if (heated.Length > 0) return Report(SolveStatus.Unbounded, 0, 1, Sum(heat), 0) with { Islands = heated };
        for (var i = 0; _islands.Any && i < unknowns; i++)
        {
            if (_islands.Contains(i)) temperature[i] = 0;
        }

        Enter();
        try
        {
            return _system.Solve(heat, temperature, settings, progress, cancellationToken);
        }
        finally
        {
            Leave();
        }
    }

    public void Dispose()
    {
        if (Interlocked.Exchange(ref _disposed, 1) == 0) Leave();
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

    private void Enter()
    {
        for (var users = Volatile.Read(ref _users); ;)
        {
            ObjectDisposedException.ThrowIf(users == 0 || _disposed != 0, this);
            var seen = Interlocked.CompareExchange(ref _users, users + 1, users);
            if (seen == users) return;
            users = seen;
        }
    }

    private void Leave()
    {
        if (Interlocked.Decrement(ref _users) == 0) _system?.Return();
    }

    private static double Sum(ReadOnlySpan<double> values)
    {
        var sum = 0.0;
        foreach (var v in values) sum += v;
        return sum;
    }

    private static bool AllFinite(ReadOnlySpan<double> values)
    {
        foreach (var v in values)
        {
            if (!double.IsFinite(v)) return false;
        }

        return true;
    }
}
