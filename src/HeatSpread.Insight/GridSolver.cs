using System.Diagnostics;
using HeatSpread.Boards;
using HeatSpread.Thermal;

namespace HeatSpread.Insight;

/// <summary>One board under one set of conditions, on one grid.</summary>
/// <param name="Pitch">Asked for, m.</param>
/// <param name="Raster">The copper in the grid's cells.</param>
/// <param name="Field">The temperatures.</param>
/// <param name="RasterSeconds">Spent on the raster.</param>
/// <param name="Seconds">Spent on all of it.</param>
internal sealed record GridSolution(double Pitch, CopperRaster Raster, TemperatureField Field, double RasterSeconds, double Seconds);

/// <summary>Solves one board on one grid after the other, and tells how far the whole has come.</summary>
internal sealed class GridSolver(Board board, Conditions conditions, int threads, IProgress<AnalysisProgress>? progress, CancellationToken cancellationToken)
{
    private double percentDone;

    /// <summary>Spent on all grids so far.</summary>
    public double Seconds { get; private set; }

    /// <param name="pitch">Asked for, m.</param>
    /// <param name="untilPercent">How far the whole will have come when this grid is solved.</param>
    public GridSolution Solve(double pitch, double untilPercent)
    {
        var watch = Begin("raster", percentDone);
        var raster = CopperRaster.Build(board, BoardGrid.Over(board.Outline.Bounds, pitch), cancellationToken);
        double rasterSeconds = watch.Elapsed.TotalSeconds;

        Begin("solve", percentDone);
        var iterations = progress is null ? null : new IterationProgress(progress, percentDone, untilPercent);
        var field = ThermalSolve.Run(board, conditions, raster, threads, iterations, cancellationToken);

        double seconds = watch.Elapsed.TotalSeconds;
        Seconds += seconds;
        percentDone = Math.Max(percentDone, untilPercent);
        return new(pitch, raster, field, rasterSeconds, seconds);
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
        private double highestShare;

        public void Report((int Iteration, double RelativeResidual) value)
        {
            double decades = value.RelativeResidual > 0 ? -Math.Log10(value.RelativeResidual) : ExpectedDecades;
            double share = Math.Clamp(decades / ExpectedDecades, 0, 1);
            highestShare = Math.Max(highestShare, share);
            progress.Report(new("solve", fromPercent + highestShare * (toPercent - fromPercent), value.RelativeResidual));
        }
    }
}
