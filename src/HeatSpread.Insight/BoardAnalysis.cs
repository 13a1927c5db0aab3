using System.Diagnostics;
using HeatSpread.Boards;
using HeatSpread.Thermal;

namespace HeatSpread.Insight;

/// <summary>How fine the grid is to be: a pitch, or an error to stay below, or neither (then 0.5 K).</summary>
/// <param name="PitchMeters">Asked pitch, positive; null where an error is asked for.</param>
/// <param name="TargetErrorKelvin">Estimated grid error to stay below, positive; null: <see cref="BoardAnalysis.DefaultTargetErrorKelvin"/>.</param>
public sealed record GridChoice(double? PitchMeters, double? TargetErrorKelvin)
{
    /// <summary>Cells of all rows of the stack together, beyond which no pitch is chosen; a pitch that was asked for is not held back.</summary>
    public int MaximumCells { get; init; } = 2_500_000;
}

/// <param name="Step">Name of the step: <c>raster</c>, <c>solve</c>, <c>findings</c>.</param>
/// <param name="Percent">Of the whole, 0 to 100, never falling.</param>
/// <param name="RelativeResidual">Of the solver, while it runs.</param>
public readonly record struct AnalysisProgress(string Step, double Percent, double? RelativeResidual);

/// <summary>The whole way from a board to its answer, as a list of named steps.</summary>
public static class BoardAnalysis
{
    /// <summary>The grid error to stay below where neither a pitch nor an error is asked for.</summary>
    public const double DefaultTargetErrorKelvin = 0.5;

    /// <summary>Edits that are checked where no number is asked for.</summary>
    public const int UsualChecks = 5;

    /// <summary>
    /// Solves the board on the grid asked for and on coarser ones beside it that tell its error, and reads the answer off the asked one.
    /// Where no pitch is asked for, the pitch is halved until the estimated error meets the target or <see cref="GridChoice.MaximumCells"/> is reached.
    /// </summary>
    /// <param name="board">The board.</param>
    /// <param name="conditions">What surrounds it.</param>
    /// <param name="grid">How fine.</param>
    /// <param name="threads">Threads to use, at least 1.</param>
    /// <param name="progress">May be null.</param>
    /// <param name="cancellationToken">Checked between steps and by the solver's iterations.</param>
    /// <exception cref="ThermalSolveException">There is no field.</exception>
    /// <exception cref="OperationCanceledException">The token was cancelled.</exception>
    public static BoardSolution Analyse(Board board, Conditions conditions, GridChoice grid, int threads, IProgress<AnalysisProgress>? progress, CancellationToken cancellationToken) =>
        Analyse(board, conditions, grid, new SolveCapacity(threads), progress, cancellationToken);

    /// <summary>As the other one, on cores and memory shared with other solves.</summary>
    /// <param name="board">The board.</param>
    /// <param name="conditions">What surrounds it.</param>
    /// <param name="grid">How fine.</param>
    /// <param name="capacity">Cores and memory.</param>
    /// <param name="progress">May be null.</param>
    /// <param name="cancellationToken">Checked between steps and by the solver's iterations.</param>
    /// <exception cref="ThermalSolveException">There is no field.</exception>
    /// <exception cref="OperationCanceledException">The token was cancelled.</exception>
    public static BoardSolution Analyse(Board board, Conditions conditions, GridChoice grid, SolveCapacity capacity, IProgress<AnalysisProgress>? progress, CancellationToken cancellationToken) =>
        Analyse(board, conditions, grid, UsualChecks, capacity, progress, cancellationToken);

    /// <summary>As the other one, with a choice of how many edits are checked.</summary>
    /// <param name="board">The board.</param>
    /// <param name="conditions">What surrounds it.</param>
    /// <param name="grid">How fine.</param>
    /// <param name="checkedEdits">Most edits that are solved again on the answer's grid, at least 0.</param>
    /// <param name="capacity">Cores and memory.</param>
    /// <param name="progress">May be null.</param>
    /// <param name="cancellationToken">Checked between steps and by the solver's iterations.</param>
    /// <exception cref="ThermalSolveException">There is no field.</exception>
    /// <exception cref="OperationCanceledException">The token was cancelled.</exception>
    public static BoardSolution Analyse(
        Board board, Conditions conditions, GridChoice grid, int checkedEdits, SolveCapacity capacity, IProgress<AnalysisProgress>? progress, CancellationToken cancellationToken)
    {
        ArgumentOutOfRangeException.ThrowIfNegative(checkedEdits);
        ArgumentNullException.ThrowIfNull(board);
        ArgumentNullException.ThrowIfNull(conditions);
        ArgumentNullException.ThrowIfNull(grid);
        ArgumentNullException.ThrowIfNull(capacity);
        var total = Stopwatch.StartNew();
        var solver = new GridSolver(board, conditions, capacity, progress, cancellationToken);

        var (answer, error, target) = solver.Solve(grid);

        try
        {
            var findings = solver.Begin("findings", GridSolver.PercentOfGrids);
            var peak = FieldReadings.Peak(board, answer);
            var layers = FieldReadings.Layers(board, answer);
            var parts = FieldReadings.Parts(board, answer.Field, answer.Errors);
            var probes = FieldReadings.Probes(board, answer.Field, answer.Errors);
            var hotSpots = HotSpots.Find(board, conditions, answer);
            var (found, edits) = new FindingSearch(board, conditions, answer, solver.Trial!, answer.Errors!, capacity, cancellationToken).Run(checkedEdits);
            var verdict = LimitCheck.Judge(board, conditions, peak, parts);
            var figures = answer.Field.Solve;
            return new BoardSolution
            {
                Field = answer.Field,
                Verdict = verdict,
                Peak = peak,
                Layers = layers,
                Parts = parts,
                Probes = probes,
                Currents = FieldReadings.Currents(board, conditions, answer.Field),
                HotSpots = hotSpots,
                Findings = found,
                Edits = edits,
                Warnings = FieldWarnings.Of(board, answer, peak, parts),
                Accuracy = new(answer.Pitch, figures.Unknowns, figures.Iterations, figures.RelativeResidual, error, target is null ? null : error <= target),
                Seconds = new(answer.RasterSeconds, figures.AssembleSeconds, figures.SolveSeconds, solver.Seconds - answer.Seconds, findings.Elapsed.TotalSeconds, total.Elapsed.TotalSeconds),
            };
        }
        finally
        {
            solver.ReleaseNetworks();
        }
    }
}
