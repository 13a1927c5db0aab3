using System.Globalization;
using HeatSpread.Boards;

namespace HeatSpread.Thermal.Converters;

/// <summary>The greatest load of a converter that has a steady state on a board, by halving.</summary>
internal static class StableLoad
{
    /// <summary>Relative true residual of the fields, of which only their existence is wanted.</summary>
    public const double Tolerance = 1e-4;

    /// <summary>The load is told to a hundredth of the one asked for.</summary>
    private const int Halvings = 7;

    /// <param name="runaway">What came of the load asked for.</param>
    /// <param name="conditions">With a converter.</param>
    /// <param name="solve">Solves under other conditions.</param>
    /// <returns>The exception to throw in place of <paramref name="runaway"/>.</returns>
    public static ThermalSolveException Explain(ThermalSolveException runaway, Conditions conditions, Func<Conditions, SolvedNetwork> solve)
    {
        var converter = conditions.Converter!;
        bool IsStable(double amperes)
        {
            try
            {
                using var solved = solve(conditions with { Converter = converter with { OutputAmperes = amperes } });
                return true;
            }
            catch (ThermalSolveException)
            {
                return false; // away, or so near to the end that it does not settle
            }
        }

        if (!IsStable(0)) return new ThermalSolveException(runaway.Message + " It is so without any load on the converter.", runaway) { IsRunaway = true };
        double stable = 0, above = converter.OutputAmperes;
        for (int halving = 0; halving < Halvings; halving++)
        {
            double middle = (stable + above) / 2;
            if (IsStable(middle)) stable = middle;
            else above = middle;
        }
        string load = string.Create(CultureInfo.InvariantCulture, $" The last stable load is {stable:0.###} A of the {converter.OutputAmperes:0.###} A asked for.");
        return new ThermalSolveException(runaway.Message + load, runaway) { IsRunaway = true, LastStableOutputAmperes = stable };
    }
}
