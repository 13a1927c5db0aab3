using System.Diagnostics;
using System.Runtime.ExceptionServices;
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

/// <summary>Solves one board on several grids, each grid once, and tells how far the whole has come.</summary>
internal sealed class GridSolver(Board board, Conditions conditions, SolveCapacity capacity, IProgress<AnalysisProgress>? progress, CancellationToken cancellationToken)
{
    /// <summary>Percent of the whole that the grids take; the findings take the rest.</summary>
    public const double PercentOfGrids = 90;

    /// <summary>Relative residual of the grids beside the answer's: what is left is far below what they are to tell.</summary>
    private const double ToleranceBeside = 1e-6;

    private readonly Dictionary<double, GridSolution> _solved = [];
    private double _percent;

    /// <summary>Spent on all grids so far.</summary>
    public double Seconds { get; private set; }

    /// <summary>Of the last answer: the grid on which edits are tried; it may be the answer's own.</summary>
    public GridSolution? Trial { get; private set; }

    /// <summary>Solves at a pitch, and on grids beside it for the error of its reported temperatures.</summary>
    /// <param name="pitch">Asked for, m.</param>
    public (GridSolution Answer, double ErrorKelvin) SolveWithError(double pitch)
    {
        var watch = Stopwatch.StartNew();
        ReleaseNetworks();
        try
        {
            var pitches = GridPitch.Series(board, pitch);
            double trial = GridPitch.ForTrials(board, pitches, pitch);
            bool KeepsNetwork(double each) => each == pitch || each == trial;
            // Coarse to fine. The coarsest (on boards of few cells it is the answer's) alone, as what cannot be solved shows there soonest; those between it and the finest at once.
            double[] series = [.. pitches.Reverse()];
            foreach (double[] grids in (double[][])[series[..1], series[1..^1], series[^1..]]) SolveAtOnce([.. grids.Where(each => !IsKnown(each, KeepsNetwork(each)))], KeepsNetwork);
            var errors = GridError.Estimate(board, conditions.AmbientCelsius, _solved[pitch], _solved[series[^1]], [.. series[..^1].Select(each => _solved[each])]);
            Trial = _solved[trial];
            Seconds += watch.Elapsed.TotalSeconds;
            return (_solved[pitch] = _solved[pitch] with { Errors = errors }, errors.Worst);
        }
        catch
        {
            ReleaseNetworks();
            throw;
        }
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

    private bool IsKnown(double pitch, bool withNetwork) => _solved.TryGetValue(pitch, out var known) && (known.Solved is not null || !withNetwork);

    /// <summary>Gives the memory of all networks back; the fields stay.</summary>
    public void ReleaseNetworks()
    {
        foreach (double pitch in _solved.Keys.ToArray())
        {
            _solved[pitch].Solved?.Dispose();
            _solved[pitch] = _solved[pitch] with { Solved = null };
        }
    }

    /// <summary>
    /// Grids of which several, each too small to keep all cores busy from the network to the field, are solved at once. All are done even where one fails: it is the coarsest one's failure that is told, whoever came first.
    /// </summary>
    private void SolveAtOnce(double[] pitches, Func<double, bool> keepsNetwork)
    {
        if (pitches.Length == 0) return;
        Begin("raster", _percent);
        var rasters = Array.ConvertAll(pitches, RasterOf);
        Begin("solve", _percent);
        var iterations = progress is null ? null : new IterationProgress(progress, _percent, Until);
        var (solutions, failures) = (new GridSolution?[pitches.Length], new ExceptionDispatchInfo?[pitches.Length]);
        // The finest first: it takes longest, and so is the one that tells of its progress.
        capacity.AtOnce(pitches.Length, k =>
        {
            int i = pitches.Length - 1 - k;
            try
            {
                solutions[i] = Solve(pitches[i], rasters[i], keepsNetwork(pitches[i]), k == 0 ? iterations : null);
            }
            catch (Exception failure)
            {
                failures[i] = ExceptionDispatchInfo.Capture(failure);
            }
        });
        foreach (var solution in solutions)
        {
            if (solution is not null) _solved[solution.Pitch] = solution;
        }
        cancellationToken.ThrowIfCancellationRequested();
        failures.FirstOrDefault(failure => failure is not null)?.Throw();
        _percent = Until;
    }

    /// <summary>Percent when the next grids are done: those after them are finer, and nobody knows yet whether they are the last.</summary>
    private double Until => (_percent + PercentOfGrids) / 2;

    private (CopperRaster Raster, double Seconds) RasterOf(double pitch)
    {
        var watch = Stopwatch.StartNew();
        var raster = CopperRaster.Build(board, BoardGrid.Over(board.Outline.Bounds, pitch), cancellationToken);
        return (raster, watch.Elapsed.TotalSeconds);
    }

    private GridSolution Solve(double pitch, (CopperRaster Raster, double Seconds) on, bool keepNetwork, IterationProgress? iterations)
    {
        var watch = Stopwatch.StartNew();
        var solved = ThermalSolve.Run(board, conditions, on.Raster, capacity, keepNetwork ? ThermalSolve.Tolerance : ToleranceBeside, iterations, cancellationToken);
        var field = solved.Read();
        if (!keepNetwork) solved.Dispose();
        return new(pitch, on.Raster, field, keepNetwork ? solved : null, on.Seconds, on.Seconds + watch.Elapsed.TotalSeconds);
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
