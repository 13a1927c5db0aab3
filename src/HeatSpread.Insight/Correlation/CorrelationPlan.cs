using HeatSpread.Insight.Studies;
using HeatSpread.Thermal;

namespace HeatSpread.Insight.Correlation;

/// <summary>A correlation that was asked for.</summary>
/// <param name="Inputs">To be fitted, in the order posted.</param>
/// <param name="Axes">What each of them varies.</param>
/// <param name="Points">Measured, those of a photograph after the others.</param>
public sealed record CorrelationPlan(IReadOnlyList<FitInput> Inputs, IReadOnlyList<StudyAxis> Axes, IReadOnlyList<MeasuredPoint> Points)
{
    /// <summary>Cells where no pitch is asked for: a fit is some dozens of solves.</summary>
    private const int UsualCells = 400_000;

    /// <summary>Fits, on the grid asked for.</summary>
    /// <param name="cases">Whose base is varied.</param>
    /// <param name="pitchMeters">Of the grid; null: one that answers in seconds.</param>
    /// <param name="capacity">Cores and memory.</param>
    /// <param name="progress">May be null.</param>
    /// <param name="cancellationToken">Ends it.</param>
    /// <exception cref="ThermalSolveException">There is no field for values within the bounds.</exception>
    /// <exception cref="OperationCanceledException">As the token asks.</exception>
    public (CorrelationResult Result, double Pitch) Run(StudyCases cases, double? pitchMeters, SolveCapacity capacity, IProgress<AnalysisProgress>? progress, CancellationToken cancellationToken)
    {
        ArgumentNullException.ThrowIfNull(cases);
        var board = cases.Base.Board;
        double pitch = pitchMeters ?? GridPitch.ToStartWith(board, UsualCells);
        progress?.Report(new("raster", 0, null));
        var raster = CopperRaster.Build(board, BoardGrid.Over(board.Outline.Bounds, pitch), cancellationToken);
        return (CorrelationFit.Run(board, raster, Inputs, values => cases.At(Axes, values).Conditions, Points, capacity, progress, cancellationToken), pitch);
    }
}
