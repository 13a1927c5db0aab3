namespace HeatSpread.Thermal.Transient;

/// <summary>How a transient is stepped.</summary>
/// <param name="FirstSeconds">What happens before this time is not resolved, s, positive.</param>
/// <param name="EndSeconds">Where it ends, s; null: where the field is within a thousandth of the steady state.</param>
/// <param name="Tolerance">Error allowed in each step, as a share of the greatest rise; 1e-6 to 0.1.</param>
public sealed record TransientSettings(double FirstSeconds, double? EndSeconds, double Tolerance = 1e-3)
{
    /// <summary>Steps after which a transient is given up.</summary>
    public int MaximumSteps { get; init; } = 20_000;

    /// <summary>Heat capacities of the nodes of the parts' networks, J/K, by part and node; what is not named stores nothing.</summary>
    public IReadOnlyDictionary<(int Part, int Node), double> NodeJoulesPerKelvin { get; init; } = new Dictionary<(int, int), double>();
}

/// <summary>What the parts make from a time on.</summary>
/// <param name="Seconds">At least 0, ascending from one to the next.</param>
/// <param name="Watts">One a part, in the board's order.</param>
public sealed record PowerStep(double Seconds, IReadOnlyList<double> Watts);

/// <summary>A moment of a transient.</summary>
/// <param name="Seconds">Since the start.</param>
/// <param name="Parts">K over ambient of each part: its hottest node, or the hottest of the board under it.</param>
/// <param name="Greatest">K over ambient of the hottest that stores heat.</param>
/// <param name="Stored">W that board and parts take up.</param>
public sealed record TransientMoment(double Seconds, IReadOnlyList<double> Parts, double Greatest, double Stored);

/// <summary>The moments of a transient and what it took.</summary>
public sealed record TransientCurve(IReadOnlyList<TransientMoment> Moments, int Steps, int Solves, int SetUps);

/// <summary>
/// Transients of a solved board. Conductivities, and heat of currents and of a converter, stay what they are in its steady state; films that depend on temperature are followed.
/// </summary>
public static class TransientRun
{
    /// <summary>From ambient temperature everywhere, or from the steady state, under a schedule of watts.</summary>
    /// <param name="solved">The board in its steady state.</param>
    /// <param name="stages">What the parts make; the first stage begins at 0.</param>
    /// <param name="fromSteadyState">Begins with the steady state's field, else with the ambient.</param>
    /// <param name="settings">How it is stepped; <see cref="TransientSettings.EndSeconds"/> must be given.</param>
    /// <param name="capacity">Cores and memory.</param>
    /// <param name="progress">Told of seconds reached; may be null.</param>
    /// <param name="cancellationToken">Ends it.</param>
    /// <exception cref="ThermalSolveException">A step did not converge, or steps are too many.</exception>
    /// <exception cref="OperationCanceledException">As the token asks.</exception>
    public static TransientCurve UnderPower(
        SolvedNetwork solved, IReadOnlyList<PowerStep> stages, bool fromSteadyState, TransientSettings settings, SolveCapacity capacity, IProgress<double>? progress, CancellationToken cancellationToken)
    {
        ArgumentNullException.ThrowIfNull(solved);
        ArgumentNullException.ThrowIfNull(stages);
        ArgumentNullException.ThrowIfNull(settings);
        ArgumentNullException.ThrowIfNull(capacity);
        double end = settings.EndSeconds ?? throw new ArgumentException("A schedule of watts needs an end.", nameof(settings));
        using var system = new StageSystem(solved, Capacities(solved, settings), followsFilms: true, capacity);
        double[] rise = fromSteadyState ? [.. solved.Rise] : new double[system.Count];
        double[] heat = new double[system.Count];
        if (!fromSteadyState)
        {
            AddParts(solved, [.. solved.Board.Parts.Select((_, part) => solved.WattsOf(part))], heat);
            solved.Coupled?.AddHeat(heat);
            double[] flows = system.Flows(rise);
            for (int i = 0; i < heat.Length; i++) heat[i] -= flows[i];
        }
        var walk = new TransientWalk(solved, system, new TransientSteps(system, rise, heat), settings, progress);
        walk.Record();
        double[] now = [.. solved.Board.Parts.Select((_, part) => solved.WattsOf(part))];
        for (int stage = 0; stage < stages.Count && stages[stage].Seconds < end; stage++)
        {
            double[] switched = new double[system.Count];
            AddParts(solved, [.. stages[stage].Watts.Zip(now, (next, was) => next - was)], switched);
            now = [.. stages[stage].Watts];
            walk.Switch(switched);
            walk.To(stage + 1 < stages.Count ? Math.Min(stages[stage + 1].Seconds, end) : end, cancellationToken);
        }
        return walk.Curve();
    }

    /// <summary>
    /// K of each part for one watt in one of them, switched on at 0: the thermal impedance. Where films depend on temperature it is that of small changes about the steady state.
    /// </summary>
    /// <param name="solved">The board in its steady state.</param>
    /// <param name="part">That is heated.</param>
    /// <param name="settings">How it is stepped.</param>
    /// <param name="capacity">Cores and memory.</param>
    /// <param name="progress">Told of seconds reached; may be null.</param>
    /// <param name="cancellationToken">Ends it.</param>
    /// <returns>The parts are read where they are hottest in the steady state; the last value of each is where it settles, at <see cref="double.PositiveInfinity"/> seconds.</returns>
    /// <exception cref="ThermalSolveException">A step did not converge, or steps are too many.</exception>
    /// <exception cref="OperationCanceledException">As the token asks.</exception>
    public static TransientCurve OfOneWatt(SolvedNetwork solved, int part, TransientSettings settings, SolveCapacity capacity, IProgress<double>? progress, CancellationToken cancellationToken)
    {
        ArgumentNullException.ThrowIfNull(solved);
        ArgumentNullException.ThrowIfNull(settings);
        ArgumentNullException.ThrowIfNull(capacity);
        using var system = new StageSystem(solved, Capacities(solved, settings), followsFilms: false, capacity);
        LinearReading[] readings = [.. solved.Board.Parts.Select((_, each) => solved.HottestOf(each))];
        var watt = new double[system.Count];
        solved.HeatEntryOf(part).AddTo(watt);
        double[] settled = solved.Adjoint(solved.HeatEntryOf(part), cancellationToken);
        var walk = new TransientWalk(solved, system, new TransientSteps(system, new double[system.Count], new double[system.Count]), settings, progress) { Readings = readings, Settled = settled };
        walk.Switch(watt);
        walk.To(settings.EndSeconds ?? double.PositiveInfinity, cancellationToken);
        walk.Moments.Add(walk.MomentOf(double.PositiveInfinity, settled, 0));
        return walk.Curve();
    }

    private static double[] Capacities(SolvedNetwork solved, TransientSettings settings)
    {
        var ofNodes = new double[solved.Network.Grid.NodeCount];
        foreach (var ((part, node), capacity) in settings.NodeJoulesPerKelvin) ofNodes[solved.Network.FirstNode[part] + node] = capacity;
        return HeatCapacities.Of(solved.Network, ofNodes);
    }

    private static void AddParts(SolvedNetwork solved, double[] watts, double[] heat)
    {
        for (int part = 0; part < watts.Length; part++)
        {
            var entry = solved.HeatEntryOf(part);
            for (int i = 0; i < entry.Unknowns.Count; i++) heat[entry.Unknowns[i]] += watts[part] * entry.Weights[i];
        }
    }
}
