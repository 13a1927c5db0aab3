using HeatSpread.Solver;

namespace HeatSpread.Thermal.Revisions;

/// <summary>
/// Where the difference between two solved revisions comes from, exactly. With F_A(T_A) = q_A and F_B(T_B) = q_B, K the secant of F_A between the two fields, so that
/// K (T_B - T_A) = F_A(T_B) - F_A(T_A), and λ = K⁻¹ e for a reading e,
/// <code>e·(T_B - T_A) = λ·(F_A(T_B) - F_B(T_B)) + λ·(q_B - q_A).</code>
/// Where films are linear K is the baseline's matrix; where they depend on temperature a film that is the same in both revisions still adds nothing, though its
/// coefficient differs with the temperature. Conductivities that depend on temperature are held in K as they are in the baseline's field, so that the identity stays exact, and what the same
/// materials do at the candidate's temperatures is a stage of its own, the first: it holds what is not linear about them.
/// <para>
/// Going from A to B in stages that change one kind of thing each (conductivities at the other temperatures, outline, copper taken away, copper put there, vias, stack, parts, watts, currents, ambient, each surface), the
/// sum telescopes, and each stage is the sum over what it changed. So entries add up whatever changed together; an effect that needs two changes at once is with the later.
/// </para>
/// </summary>
public static class RevisionLedger
{
    /// <summary>
    /// Splits the change of the hottest temperature of parts, as <see cref="PartTemperatures.MaxCelsius"/> tells it. Where the hottest place moves the reading stands between the old and the
    /// new one, with the weights for which its change is that of the maximum; where no such weights exist, as for a part that was moved, the old place is read and the way to the new one
    /// counts as a change of the part.
    /// </summary>
    /// <param name="baseline">Solved.</param>
    /// <param name="candidate">Solved on the same grid of the plan.</param>
    /// <param name="parts">Indices of the same part in the one board and in the other.</param>
    /// <param name="cancellationToken">Ends it.</param>
    /// <returns>Every difference that was found, with K for each of the parts; those that no piece accounts for are without a name. They add up to the change of each part.</returns>
    /// <exception cref="ArgumentException">The grids differ.</exception>
    /// <exception cref="OperationCanceledException">As the token asks.</exception>
    /// <exception cref="ThermalSolveException">An adjoint was not found.</exception>
    public static IReadOnlyList<RevisionChange> OfParts(SolvedNetwork baseline, SolvedNetwork candidate, IReadOnlyList<(int Baseline, int Candidate)> parts, CancellationToken cancellationToken)
    {
        ArgumentNullException.ThrowIfNull(parts);
        var pair = new Pair(baseline, candidate);
        var read = parts.Select(part => pair.Reading(part.Baseline, part.Candidate)).ToArray();
        List<RevisionChange> changes = [.. pair.Split([.. read.Select(each => each.Reading)], cancellationToken)];
        for (int part = 0; part < read.Length; part++)
        {
            if (read[part].Moved == 0) continue;
            var kelvin = new double[read.Length];
            kelvin[part] = read[part].Moved;
            changes.Add(new() { Kind = ChangeKind.PartChanged, Kelvin = kelvin, Name = baseline.Board.Parts[parts[part].Baseline].Id });
        }
        return changes;
    }

    /// <summary>Splits the change of readings over the baseline's unknowns, whose weights add up to 1.</summary>
    internal static IReadOnlyList<RevisionChange> Split(SolvedNetwork baseline, SolvedNetwork candidate, IReadOnlyList<LinearReading> readings, CancellationToken cancellationToken) =>
        new Pair(baseline, candidate).Split(readings, cancellationToken);

    /// <summary>Two solved boards on one frame.</summary>
    private sealed class Pair
    {
        private readonly SolvedNetwork _baseline, _candidate;
        private readonly UnionFrame _frame;
        private readonly Placement _before, _after;

        /// <summary>The candidate's field over the frame, K over the baseline's ambient; and over the baseline's unknowns.</summary>
        private readonly double[] _field, _atBaseline;

        public Pair(SolvedNetwork baseline, SolvedNetwork candidate)
        {
            ArgumentNullException.ThrowIfNull(baseline);
            ArgumentNullException.ThrowIfNull(candidate);
            if (baseline.Raster.Grid != candidate.Raster.Grid) throw new ArgumentException("The two boards must be solved on one grid.", nameof(candidate));
            (_baseline, _candidate) = (baseline, candidate);
            _frame = UnionFrame.Of(baseline.Network, candidate.Network);
            (_before, _after) = (_frame.Place(baseline.Network, ofCandidate: false), _frame.Place(candidate.Network, ofCandidate: true));
            _field = Raised(_frame.Lift(_after, candidate.Rise, _before), candidate.Conditions.AmbientCelsius - baseline.Conditions.AmbientCelsius);
            _atBaseline = _before.Gather(_field, 0);
        }

        public IReadOnlyList<RevisionChange> Split(IReadOnlyList<LinearReading> readings, CancellationToken cancellationToken)
        {
            var solver = Secant(_baseline, _atBaseline, cancellationToken);
            double[][] adjoints = [.. SolvedNetwork.Adjoints(solver, _baseline.Network, readings, cancellationToken).Select(adjoint => _frame.Lift(_before, adjoint, _after))];
            var stages = new RevisionStages(_baseline, _candidate, _frame, new AdjointSums(_field, adjoints, _baseline.Conditions.AmbientCelsius), cancellationToken);
            stages.Conductivities();
            stages.Outline();
            stages.Copper();
            stages.Vias();
            stages.Stack();
            stages.Parts();
            stages.Watts();
            stages.Currents();
            stages.Surroundings();
            return stages.Changes;
        }

        public (LinearReading Reading, double Moved) Reading(int part, int candidatePart)
        {
            int first = _baseline.HottestOf(part).Unknowns[0], second = _before.Find(_after.Place(_candidate.HottestOf(candidatePart).Unknowns[0]));
            double ambients = _candidate.Conditions.AmbientCelsius - _baseline.Conditions.AmbientCelsius;
            double change = _candidate.RiseOf(_candidate.HottestOf(candidatePart)) + ambients - _baseline.Rise[first], atFirst = _atBaseline[first] - _baseline.Rise[first];
            if (first == second) return (LinearReading.Of(first), 0);
            double atSecond = second < 0 ? atFirst : _atBaseline[second] - _baseline.Rise[second];
            double weight = (change - atFirst) / (atSecond - atFirst);
            return weight is >= 0 and <= 1 ? (new LinearReading([first, second], [1 - weight, weight]), 0) : (LinearReading.Of(first), change - atFirst);
        }
    }

    private static double[] Raised(double[] values, double shift)
    {
        for (int i = 0; i < values.Length; i++) values[i] += shift;
        return values;
    }

    /// <summary>The baseline's network with the secants of its films between its own field and another; its own where its films are linear.</summary>
    private static MultigridSolver Secant(SolvedNetwork baseline, double[] other, CancellationToken cancellationToken)
    {
        if (baseline.Faces.IsLinear) return baseline.Solver;
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
