using HeatSpread.Boards;
using HeatSpread.Thermal;

namespace HeatSpread.Insight;

/// <summary>
/// How far the temperatures that matter may be off for the grid's sake, told from three grids of which each has half the pitch of the one before.
/// <para>
/// The grid convergence index of P. J. Roache (Perspective: a method for uniform reporting of grid refinement studies, J. Fluids Eng. 116, 1994, 405-413): the differences of
/// the three grids tell a value's own order p, and 1.25 times the last difference over 2^p - 1 is its error. Where the field is smooth p is 2; at pad edges, cuts and vias it is
/// 1 or less, and there a difference of two grids alone would promise too much. It is an estimate: a pad of a few cells on bare laminate can be three times as far off. The grids refine the plan; the rows of the stack stay as they are.
/// </para>
/// </summary>
internal static class GridError
{
    private const double SafetyFactor = 1.25;

    /// <summary>Orders outside are accidents of values that have not settled; a value that swings to and fro has none of its own.</summary>
    private const double LowestOrder = 0.5, HighestOrder = 2, OrderOfSwinging = 1;

    /// <summary>Estimate for the worst of the reported temperatures, K.</summary>
    /// <param name="board">The board.</param>
    /// <param name="coarseToFine">Three grids.</param>
    /// <param name="answer">The one of them whose error is asked for.</param>
    public static double Estimate(Board board, IReadOnlyList<GridSolution> coarseToFine, GridSolution answer)
    {
        double[][] celsius = [.. coarseToFine.Select(solution => ReportedCelsius(board, solution.Field).ToArray())];
        double[] answered = [.. ReportedCelsius(board, answer.Field)];
        double worst = 0;
        for (int i = 0; i < answered.Length; i++)
        {
            double finestError = FinestError(celsius[0][i], celsius[1][i], celsius[2][i]);
            worst = Math.Max(worst, Math.Abs(answered[i] - celsius[2][i]) + finestError);
        }
        return worst;
    }

    /// <summary>Greatest difference of a reported temperature between two fields, K.</summary>
    public static double WorstDifference(Board board, TemperatureField first, TemperatureField second) =>
        ReportedCelsius(board, first).Zip(ReportedCelsius(board, second), (a, b) => Math.Abs(a - b)).DefaultIfEmpty(0).Max();

    /// <summary>Error of the last of three values on grids each of half the pitch of the one before.</summary>
    internal static double FinestError(double coarse, double middle, double fine)
    {
        double before = middle - coarse, last = fine - middle;
        double order = before * last > 0 ? Math.Clamp(Math.Log2(before / last), LowestOrder, HighestOrder) : OrderOfSwinging;
        // the last difference may be small by accident: no value settles faster than with the highest order from the difference before
        double settled = Math.Abs(before) / Math.Pow(2, HighestOrder);
        return SafetyFactor * Math.Max(Math.Abs(last) / (Math.Pow(2, order) - 1), settled / (Math.Pow(2, HighestOrder) - 1));
    }

    /// <summary>
    /// Peak, probes, and of each part that makes heat or has a limit its nodes, the board under it and the terminals that heat goes through; always in the same order.
    /// The pads of idle parts and pins are left out: narrower than a cell, they say little of the grid and would drown the rest.
    /// </summary>
    private static IEnumerable<double> ReportedCelsius(Board board, TemperatureField field)
    {
        yield return field.RowCelsius.Max(row => row.Where(float.IsFinite).DefaultIfEmpty(float.MinValue).Max());
        foreach (var (part, temperatures) in board.Parts.Zip(field.Parts))
        {
            if (temperatures.Watts == 0 && part.LimitCelsius is null) continue;
            yield return temperatures.MaxCelsius;
            foreach (double celsius in temperatures.NodeCelsius) yield return celsius;
            for (int i = 0; i < part.Terminals.Count; i++)
            {
                if (temperatures.TerminalWatts[i] != 0) yield return temperatures.TerminalCelsius[i];
            }
        }
        foreach (var probe in FieldReadings.Probes(board, field)) yield return probe.Celsius;
    }
}
