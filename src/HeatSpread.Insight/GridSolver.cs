using System.Diagnostics;
using HeatSpread.Boards;
using HeatSpread.Thermal;

namespace HeatSpread.Insight;

/// <summary>One board under one set of conditions, on one grid.</summary>
/// <param name="Pitch">Asked for, m.</param>
/// <param name="Raster">The copper in the grid's cells.</param>
/// <param name="Field">The temperatures.</param>
/// <param name="Solved">The network behind them, for the grid of the answer and the one that edits are tried on: it is large; null for the others.</param>
/// <param name="RasterSeconds">Spent on the raster.</param>
/// <param name="Seconds">Spent on all of it.</param>
internal sealed record GridSolution(double Pitch, CopperRaster Raster, TemperatureField Field, SolvedNetwork? Solved, double RasterSeconds, double Seconds)
{
    /// <summary>Null where none were asked for.</summary>
    public GridErrors? Errors { get; init; }
}

/// <summary>Solves one board on one grid after the other, each grid once, and tells how far the whole has come.</summary>
internal sealed class GridSolver(Board board, Conditions conditions, SolveCapacity capacity, IProgress<AnalysisProgress>? progress, CancellationToken cancellationToken)
{
    /// <summary>Percent of the whole that the grids take; the findings take the rest.</summary>
    public const double PercentOfGrids = 90;

    /// <summary>Relative residual of the grids beside the answer's: what is left is far below what they are to tell.</summary>
    private const double ToleranceBeside = 1e-6;

    private readonly Dictionary<double, GridSolution> _solved = [];
    private double _percent;

    /// <summary>Spent on all grids so far.</summary>
    public double Seconds => _solved.Values.Sum(solution => solution.Seconds);

    /// <summary>Of the last answer: the grid on which edits are tried; it may be the answer's own.</summary>
    public GridSolution? Trial { get; private set; }

    /// <summary>Solves at a pitch, and on grids beside it for the error of its reported temperatures.</summary>
    /// <param name="pitch">Asked for, m.</param>
    public (GridSolution Answer, double ErrorKelvin) SolveWithError(double pitch)
    {
        foreach (double former in _solved.Keys.ToArray())
        {
            _solved[former].Solved?.Dispose();
            _solved[former] = _solved[former] with { Solved = null };
        }
        var pitches = GridPitch.Series(board, pitch);
        double trial = GridPitch.ForTrials(board, pitches, pitch);
        // Coarse to fine, so that the share done is told truly.
        GridSolution[] series = [.. pitches.Reverse().Select(each => Solve(each, keepNetwork: each == pitch || each == trial))];
        var errors = GridError.Estimate(board, conditions.AmbientCelsius, _solved[pitch], series[^1], series[..^1]);
        Trial = _solved[trial];
        return (_solved[pitch] = _solved[pitch] with { Errors = errors }, errors.Worst);
    }

    /// <summary>Solves at the pitch asked for, or halves it until the estimated error meets the target or the grid has as many cells as it may.</summary>
    public (GridSolution Answer, double ErrorKelvin, double? TargetKelvin) Solve(GridChoice grid)
    {
        double pitch = grid.PitchMeters ?? GridPitch.ToStartWith(board, grid.MaximumCells);
        double? target = grid.PitchMeters is null ? grid.TargetErrorKelvin ?? BoardAnalysis.DefaultTargetErrorKelvin : null;
        var (answer, error) = SolveWithError(pitch);
        while (error > target && GridPitch.Cells(board, pitch / 2) <= grid.MaximumCells)
        {
            pitch /= 2;
            (answer, error) = SolveWithError(pitch);
        }
        return (answer, error, target);
    }

    private GridSolution Solve(double pitch, bool keepNetwork)
    {
        if (_solved.TryGetValue(pitch, out var known) && (known.Solved is not null || !keepNetwork)) return known;
        var watch = Begin("raster", _percent);
        var raster = CopperRaster.Build(board, BoardGrid.Over(board.Outline.Bounds, pitch), cancellationToken);
        double rasterSeconds = watch.Elapsed.TotalSeconds;

        Begin("solve", _percent);
        double until = (_percent + PercentOfGrids) / 2; // the next grid is finer, and nobody knows yet whether it is the last
        var iterations = progress is null ? null : new IterationProgress(progress, _percent, until);
        var solved = ThermalSolve.Run(board, conditions, raster, capacity, keepNetwork ? ThermalSolve.Tolerance : ToleranceBeside, iterations, cancellationToken);
        _percent = until;
        var field = solved.Read();
        if (!keepNetwork) solved.Dispose();
        return _solved[pitch] = new(pitch, raster, field, keepNetwork ? solved : null, rasterSeconds, watch.Elapsed.TotalSeconds);
    }

    /// <summary>Starts a named step, or ends the work where it was cancelled.</summary>
    /// <returns>A running clock of the step.</returns>
    public Stopwatch Begin(string step, double percent)
    {
        cancellationToken.ThrowIfCancellationRequested();
        progress?.Report(new(step, percent, null));
        return Stopwatch.StartNew();
    }

    /// <summary>Turns the solver's residual, which falls by a near constant factor an iteration, into percent.</summary>
    private sealed class IterationProgress(IProgress<AnalysisProgress> progress, double fromPercent, double toPercent) : IProgress<(int Iteration, double RelativeResidual)>
    {
        private const double ExpectedDecades = 9;
        private double _highestShare;

        public void Report((int Iteration, double RelativeResidual) value)
        {
            double decades = value.RelativeResidual > 0 ? -Math.Log10(value.RelativeResidual) : ExpectedDecades;
            double share = Math.Clamp(decades / ExpectedDecades, 0, 1);
            _highestShare = Math.Max(_highestShare, share);
            progress.Report(new("solve", fromPercent + _highestShare * (toPercent - fromPercent), value.RelativeResidual));
        }
    }
}
