using HeatSpread.Boards;

namespace HeatSpread.Thermal;

/// <summary>A small change of conditions about those of a solved board.</summary>
/// <param name="Below">With the input a little less.</param>
/// <param name="Above">With it a little more.</param>
/// <param name="Difference">Of the input between the two; positive.</param>
public sealed record ConditionChange(Conditions Below, Conditions Above, double Difference);

/// <summary>
/// How temperatures depend on conditions. A condition enters the equations by the heat that it brings or takes at given temperatures; that difference is formed without a solve (<see cref="FirstOrder"/>), and the network answers to it:
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
        double[][] gains = [.. changes.Select(change => Gain(solved, change))];
        if (changes.Count <= readings.Count)
        {
            double[][] responses = solved.Responses(gains, cancellationToken);
            return [.. readings.Select(reading => responses.Select(response => reading.On(response)).ToArray())];
        }
        double[][] adjoints = solved.Adjoints(readings, cancellationToken);
        return [.. adjoints.Select(adjoint => gains.Select(gain => Product(adjoint, gain)).ToArray())];
    }

    /// <summary>W into each unknown per unit of the input.</summary>
    private static double[] Gain(SolvedNetwork solved, ConditionChange change)
    {
        double[] below = FirstOrder.Gain(solved, change.Below), above = FirstOrder.Gain(solved, change.Above);
        return [.. below.Zip(above, (less, more) => (more - less) / change.Difference)];
    }

    private static double Product(double[] first, double[] second)
    {
        double sum = 0;
        for (int i = 0; i < first.Length; i++) sum += first[i] * second[i];
        return sum;
    }
}
