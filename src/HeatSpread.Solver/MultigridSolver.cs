namespace HeatSpread.Solver;

/// <summary>
/// Conjugate gradients preconditioned by multigrid for one <see cref="ConductanceGrid"/>. Immutable once prepared: many solves may run on it at once.
/// </summary>
public sealed class MultigridSolver
{
    /// <summary>Sets up the hierarchy. The grid's arrays must not change afterwards.</summary>
    /// <param name="grid">The system.</param>
    /// <param name="threads">Threads that a solve may use, at least 1.</param>
    /// <param name="cancellationToken">Gives up the set-up with an <see cref="OperationCanceledException"/>.</param>
    public static MultigridSolver Prepare(ConductanceGrid grid, int threads, CancellationToken cancellationToken) => throw new NotImplementedException();

    /// <summary>Solves for the temperatures of all unknowns.</summary>
    /// <param name="heat">W into each unknown: cells, then nodes.</param>
    /// <param name="temperature">K over the sink; on entry the first guess (zeros will do), on return the field.</param>
    /// <param name="settings">Tolerance and limits.</param>
    /// <param name="progress">Told of (iteration, relative residual) after each iteration; may be null.</param>
    /// <param name="cancellationToken">Ends the solve with <see cref="SolveStatus.Cancelled"/>.</param>
    public SolveReport Solve(ReadOnlySpan<double> heat, Span<double> temperature, SolveSettings settings, IProgress<(int Iteration, double RelativeResidual)>? progress, CancellationToken cancellationToken) => throw new NotImplementedException();
}
