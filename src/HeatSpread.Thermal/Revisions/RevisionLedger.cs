using HeatSpread.Solver;
using HeatSpread.Thermal.Network;

namespace HeatSpread.Thermal.Revisions;

/// <summary>
/// Where the difference between two solved revisions comes from, exactly. With F_A(T_A) = q_A and F_B(T_B) = q_B, K the secant of F_A between the two fields, so that
/// K (T_B - T_A) = F_A(T_B) - F_A(T_A), and λ = K⁻¹ e for a reading e,
/// <code>e·(T_B - T_A) = λ·(F_A(T_B) - F_B(T_B)) + λ·(q_B - q_A).</code>
/// Where films are linear K is the baseline's matrix; where they depend on temperature a film that is the same in both revisions still adds nothing, though its
/// coefficient differs with the temperature.
/// <para>
/// Going from A to B in stages that change one kind of thing each (outline, copper taken away, copper put there, vias, stack, parts, watts, ambient, each surface), the
/// sum telescopes, and each stage is the sum over what it changed. So entries add up whatever changed together; an effect that needs two changes at once is with the later.
/// </para>
/// </summary>
public static class RevisionLedger
{
    /// <summary>Splits the change of readings of the baseline, <c>reading(T_B) - reading(T_A)</c> in absolute temperature.</summary>
    /// <param name="baseline">Solved.</param>
    /// <param name="candidate">Solved on the same grid of the plan.</param>
    /// <param name="readings">Over the baseline's unknowns, with weights that add up to 1.</param>
    /// <param name="cancellationToken">Ends it.</param>
    /// <returns>Every difference that was found, and those that no piece accounts for without a name; they add up to the change of each reading.</returns>
    /// <exception cref="ArgumentException">The grids differ.</exception>
    /// <exception cref="OperationCanceledException">As the token asks.</exception>
    /// <exception cref="ThermalSolveException">An adjoint was not found.</exception>
    public static IReadOnlyList<RevisionChange> Split(SolvedNetwork baseline, SolvedNetwork candidate, IReadOnlyList<LinearReading> readings, CancellationToken cancellationToken)
    {
        ArgumentNullException.ThrowIfNull(baseline);
        ArgumentNullException.ThrowIfNull(candidate);
        ArgumentNullException.ThrowIfNull(readings);
        if (baseline.Raster.Grid != candidate.Raster.Grid) throw new ArgumentException("The two boards must be solved on one grid.", nameof(candidate));
        var frame = UnionFrame.Of(baseline.Network, candidate.Network);
        Placement before = frame.Place(baseline.Network, ofCandidate: false), after = frame.Place(candidate.Network, ofCandidate: true);
        double[] field = Raised(frame.Lift(after, candidate.Rise, before), candidate.Conditions.AmbientCelsius - baseline.Conditions.AmbientCelsius);
        var solver = Secant(baseline, before.Gather(field, 0), cancellationToken);
        double[][] adjoints = [.. SolvedNetwork.Adjoints(solver, baseline.Network, readings, cancellationToken).Select(adjoint => frame.Lift(before, adjoint, after))];
        var sums = new AdjointSums(field, adjoints, baseline.Conditions.AmbientCelsius);

        var stages = new RevisionStages(baseline, candidate, frame, sums, cancellationToken);
        stages.Outline();
        stages.Copper();
        stages.Vias();
        stages.Stack();
        stages.Parts();
        stages.Watts();
        stages.Surroundings();
        return stages.Changes;
    }

    private static double[] Raised(double[] values, double shift)
    {
        for (int i = 0; i < values.Length; i++) values[i] += shift;
        return values;
    }

    /// <summary>The baseline's network with the secants of its films between its own field and another; its own where its films are linear.</summary>
    private static MultigridSolver Secant(SolvedNetwork baseline, double[] other, CancellationToken cancellationToken)
    {
        if (baseline.IsLinear) return baseline.Solver;
        const double leastDifference = 1e-4; // K; nearer than that the tangent is the secant
        double[] flow = Flow(baseline.Rise), otherFlow = Flow(other);
        var grid = baseline.Network.Grid;
        float[] toSink = [.. grid.ToSink];
        for (int cell = 0; cell < toSink.Length; cell++)
        {
            double difference = other[cell] - baseline.Rise[cell];
            if (toSink[cell] > 0 && Math.Abs(difference) > leastDifference) toSink[cell] = (float)Math.Max(0, (otherFlow[cell] - flow[cell]) / difference);
        }
        return baseline.Solver.WithSinks(toSink, cancellationToken);

        double[] Flow(double[] field)
        {
            var flows = new double[field.Length];
            baseline.Faces.AddFlows(field, flows);
            baseline.Rim.AddFlows(field, flows);
            return flows;
        }
    }
}
