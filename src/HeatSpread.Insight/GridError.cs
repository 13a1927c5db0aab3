using HeatSpread.Boards;
using HeatSpread.Thermal;

namespace HeatSpread.Insight;

/// <summary>
/// How far the reported temperatures may be off for the grid's sake, told from two grids of which one has half the other's pitch.
/// <para>
/// Where the field is smooth the error falls with the square of the pitch and is a third of the difference d of the two grids; at pad
/// edges, cuts and vias it falls with the pitch alone and is d. We report d: the error of the first-order places, three times that of the smooth
/// ones. That is also the grid convergence index of a second-order method on two grids with its safety factor of 3 (P. J. Roache, Perspective: a method for uniform reporting of grid
/// refinement studies, J. Fluids Eng. 116, 1994, 405-413).
/// </para>
/// </summary>
internal static class GridError
{
    /// <summary>Estimate for the worst of the reported temperatures, K.</summary>
    /// <param name="board">The board.</param>
    /// <param name="answer">Whose error is asked for.</param>
    /// <param name="other">The same with double or half the pitch.</param>
    public static double Estimate(Board board, GridSolution answer, GridSolution other)
    {
        double difference = WorstDifference(board, answer.Field, other.Field);
        bool otherIsFiner = other.Pitch < answer.Pitch;
        return otherIsFiner ? 2 * difference : difference; // the error of a first-order value: d on the finer grid, 2 d on the coarser
    }

    /// <summary>Greatest difference of a reported temperature between two fields, K.</summary>
    public static double WorstDifference(Board board, TemperatureField first, TemperatureField second) =>
        ReportedCelsius(board, first).Zip(ReportedCelsius(board, second), (a, b) => Math.Abs(a - b)).DefaultIfEmpty(0).Max();

    /// <summary>Peak, part nodes and boards under parts, terminals, probes: always in the same order.</summary>
    private static IEnumerable<double> ReportedCelsius(Board board, TemperatureField field)
    {
        yield return field.RowCelsius.Max(row => row.Where(float.IsFinite).DefaultIfEmpty(float.MinValue).Max());
        foreach (var part in field.Parts)
        {
            yield return part.MaxCelsius;
            foreach (double celsius in part.NodeCelsius) yield return celsius;
            foreach (double celsius in part.TerminalCelsius) yield return celsius;
        }
        foreach (var probe in FieldReadings.Probes(board, field)) yield return probe.Celsius;
    }
}
