using HeatSpread.Boards;
using HeatSpread.Thermal;

namespace HeatSpread.Insight;

/// <summary>How fine the grid is to be: a pitch, or an error to stay below, or neither (the service's choice).</summary>
/// <param name="PitchMeters">Asked pitch; null where an error is asked for.</param>
/// <param name="TargetErrorKelvin">Estimated grid error to stay below; null: 0.5 K.</param>
public sealed record GridChoice(double? PitchMeters, double? TargetErrorKelvin);

/// <param name="Step">Name of the step: <c>raster</c>, <c>assemble</c>, <c>solve</c>…</param>
/// <param name="Percent">Of the whole, 0 to 100.</param>
/// <param name="RelativeResidual">Of the solver, while it runs.</param>
public readonly record struct AnalysisProgress(string Step, double Percent, double? RelativeResidual);

/// <summary>The whole way from a board to its answer, as a list of named steps.</summary>
public static class BoardAnalysis
{
    /// <param name="board">The board.</param>
    /// <param name="conditions">What surrounds it.</param>
    /// <param name="grid">How fine.</param>
    /// <param name="threads">Threads to use.</param>
    /// <param name="progress">May be null.</param>
    /// <param name="cancellationToken">Checked between steps and by the solver's iterations.</param>
    /// <exception cref="ThermalSolveException">There is no field.</exception>
    public static BoardSolution Analyse(Board board, Conditions conditions, GridChoice grid, int threads, IProgress<AnalysisProgress>? progress, CancellationToken cancellationToken) => throw new NotImplementedException();
}
