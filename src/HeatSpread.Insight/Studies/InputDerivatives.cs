using HeatSpread.Thermal;

namespace HeatSpread.Insight.Studies;

/// <summary>
/// Derivatives of the parts' temperatures by the inputs of a sample, at the means of their distributions: from the adjoints of the parts, one solve a part whatever the number of
/// inputs; by differences of solves where heat or conductivities depend on temperature, or a step changes the unknowns.
/// </summary>
public static class InputDerivatives
{
    /// <summary>Step of an input, in standard deviations: of the adjoint's difference (no solve's error is in it), and of a difference of solves.</summary>
    private const double AdjointStep = 0.05, SolveStep = 0.5;

    /// <summary>Adjoints held at once.</summary>
    private const int BlockSize = 8;

    /// <param name="cases">Whose base is varied.</param>
    /// <param name="solver">Solves at the means.</param>
    /// <param name="axes">With distributions.</param>
    /// <param name="cancellationToken">Ends it.</param>
    /// <returns>K for one of the input, <c>[part][input]</c>; null where a step is no sound case.</returns>
    /// <exception cref="ThermalSolveException">There is no field at the means.</exception>
    /// <exception cref="StudyCaseException">The means are no sound case.</exception>
    /// <exception cref="OperationCanceledException">As the token asks.</exception>
    public static double?[][] Of(StudyCases cases, StudySolver solver, IReadOnlyList<StudyAxis> axes, CancellationToken cancellationToken)
    {
        ArgumentNullException.ThrowIfNull(cases);
        ArgumentNullException.ThrowIfNull(solver);
        ArgumentNullException.ThrowIfNull(axes);
        double[] means = [.. axes.Select(axis => axis.Distribution!.Mean)];
        var solved = solver.Solve(cases.At(axes, means));
        double?[][] derivatives = [.. solved.Board.Parts.Select(_ => new double?[axes.Count])];
        if (solved.HasWholeAdjoint)
        {
            for (int first = 0; first < derivatives.Length; first += BlockSize)
            {
                int[] parts = [.. Enumerable.Range(first, Math.Min(BlockSize, derivatives.Length - first))];
                var adjoints = solver.Adjoints(solved, [.. parts.Select(solved.HottestOf)]);
                for (int axis = 0; axis < axes.Count; axis++)
                {
                    cancellationToken.ThrowIfCancellationRequested();
                    double[]? found = ByAdjoints(cases, solver, solved, axes, means, axis, adjoints, cancellationToken);
                    for (int i = 0; found is not null && i < parts.Length; i++) derivatives[parts[i]][axis] = found[i];
                }
            }
        }
        for (int axis = 0; axis < axes.Count; axis++)
        {
            if (derivatives.Length > 0 && derivatives[0][axis] is null) ByDifferences(cases, solver, axes, means, axis, derivatives);
        }
        return derivatives;
    }

    private static double[]? ByAdjoints(
        StudyCases cases, StudySolver solver, SolvedNetwork solved, IReadOnlyList<StudyAxis> axes, double[] means, int axis, double[][] adjoints, CancellationToken cancellationToken)
    {
        double step = AdjointStep * axes[axis].Distribution!.StandardDeviation;
        double[]? Worth(double change)
        {
            if (At(cases, axes, means, axis, change) is not { } changed) return null;
            var board = axes[axis].ChangesLayout ? changed.Board : solved.Board; // the same layout, perhaps read anew
            return FirstOrder.Worth(solved, adjoints, board, changed.Conditions, axes[axis].ChangesLayout ? solver.Raster(board) : solved.Raster, cancellationToken);
        }
        if (Worth(step) is not { } up || Worth(-step) is not { } down) return null;
        return [.. up.Zip(down, (more, less) => (more - less) / (2 * step))];
    }

    private static void ByDifferences(StudyCases cases, StudySolver solver, IReadOnlyList<StudyAxis> axes, double[] means, int axis, double?[][] derivatives)
    {
        double step = SolveStep * axes[axis].Distribution!.StandardDeviation;
        IReadOnlyList<double>? Temperatures(double change) => At(cases, axes, means, axis, change) is { } changed
            ? StudyReader.Of(solver.Solve(changed)).Read(0, [1], changed.Conditions, isSuperposed: false).PartCelsius
            : null;
        if (Temperatures(step) is not { } up || Temperatures(-step) is not { } down) return;
        for (int part = 0; part < derivatives.Length; part++) derivatives[part][axis] = (up[part] - down[part]) / (2 * step);
    }

    private static StudyCase? At(StudyCases cases, IReadOnlyList<StudyAxis> axes, double[] means, int axis, double change)
    {
        double[] values = [.. means];
        values[axis] += change;
        try
        {
            return cases.At(axes, values);
        }
        catch (StudyCaseException)
        {
            return null;
        }
    }
}
