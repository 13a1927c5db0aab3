using HeatSpread.Boards;
using HeatSpread.Thermal.Boundary;

namespace HeatSpread.Thermal;

/// <summary>A small change of conditions about those of a solved board.</summary>
/// <param name="Below">With the input a little less.</param>
/// <param name="Above">With it a little more.</param>
/// <param name="Difference">Of the input between the two; positive.</param>
public sealed record ConditionChange(Conditions Below, Conditions Above, double Difference);

/// <summary>
/// How temperatures depend on conditions. A condition enters the equations by the heat that it brings or takes at given temperatures; that difference is formed exactly, without a solve, and the network answers to it:
/// from the readings' adjoints, or from the differences themselves, whichever are fewer solves. Films act by their tangents; heat of currents and of a converter, and conductivities, are held.
/// </summary>
public static class ConditionSensitivity
{
    /// <param name="solved">The board.</param>
    /// <param name="readings">Whose weights add up to 1.</param>
    /// <param name="changes">One an input; their ambient may differ from the board's.</param>
    /// <param name="cancellationToken">Ends it.</param>
    /// <returns><c>[reading][input]</c>, K per unit of the input.</returns>
    /// <exception cref="OperationCanceledException">As the token asks.</exception>
    /// <exception cref="ThermalSolveException">Not converged.</exception>
    public static double[][] Of(SolvedNetwork solved, IReadOnlyList<LinearReading> readings, IReadOnlyList<ConditionChange> changes, CancellationToken cancellationToken)
    {
        ArgumentNullException.ThrowIfNull(solved);
        ArgumentNullException.ThrowIfNull(readings);
        ArgumentNullException.ThrowIfNull(changes);
        double[][] inflows = [.. changes.Select(change => Inflow(solved, change))];
        double[] ambients = [.. changes.Select(change => (change.Above.AmbientCelsius - change.Below.AmbientCelsius) / change.Difference)];
        if (changes.Count <= readings.Count)
        {
            double[][] responses = solved.Responses(inflows, cancellationToken);
            return [.. readings.Select(reading => responses.Select((response, input) => ambients[input] + reading.On(response)).ToArray())];
        }
        double[][] adjoints = solved.Adjoints(readings, cancellationToken);
        return [.. adjoints.Select(adjoint => inflows.Select((inflow, input) => ambients[input] + Product(adjoint, inflow)).ToArray())];
    }

    /// <summary>W into each unknown per unit of the input, at the solved field of rises over ambient.</summary>
    private static double[] Inflow(SolvedNetwork solved, ConditionChange change)
    {
        double[] inflow = new double[solved.Rise.Length], below = Outflow(solved, change.Below), above = Outflow(solved, change.Above);
        for (int i = 0; i < inflow.Length; i++) inflow[i] = (below[i] - above[i]) / change.Difference;
        return inflow;
    }

    /// <summary>What leaves each unknown by the surfaces less what its parts make, W.</summary>
    private static double[] Outflow(SolvedNetwork solved, Conditions conditions)
    {
        var flows = new double[solved.Rise.Length];
        new OuterFaces(solved.Network, conditions).AddFlows(solved.Rise, flows);
        new RimFilm(solved.Network, conditions.EdgesFilm).AddFlows(solved.Rise, flows);
        for (int part = 0; part < solved.Board.Parts.Count; part++)
        {
            if (!conditions.Watts.TryGetValue(part, out double watts)) continue;
            var entry = solved.HeatEntryOf(part);
            for (int i = 0; i < entry.Unknowns.Count; i++) flows[entry.Unknowns[i]] -= watts * entry.Weights[i];
        }
        return flows;
    }

    private static double Product(double[] first, double[] second)
    {
        double sum = 0;
        for (int i = 0; i < first.Length; i++) sum += first[i] * second[i];
        return sum;
    }
}
