using HeatSpread.Thermal.Transient;

namespace HeatSpread.Insight.Transients;

/// <summary>What is asked of a transient: at least one of a schedule, impedances and a pulse.</summary>
/// <param name="Settings">How it is stepped.</param>
public sealed record TransientPlan(TransientSettings Settings)
{
    /// <summary>Watts over time; empty: no schedule. The first stage begins at 0, and <see cref="TransientSettings.EndSeconds"/> is then given.</summary>
    public IReadOnlyList<PowerStep> Stages { get; init; } = [];

    /// <summary>The schedule begins in the steady state of the conditions, else with the ambient everywhere.</summary>
    public bool StartsFromSteadyState { get; init; }

    /// <summary>Parts whose thermal impedance is asked for.</summary>
    public IReadOnlyList<int> ImpedanceOf { get; init; } = [];

    /// <summary>Null: none.</summary>
    public PulsePlan? Pulse { get; init; }
}

/// <param name="Part">Index.</param>
/// <param name="Watts">While it is on.</param>
/// <param name="BaseWatts">In between.</param>
/// <param name="OnSeconds">Positive, less than the period.</param>
/// <param name="PeriodSeconds">Positive.</param>
public sealed record PulsePlan(int Part, double Watts, double BaseWatts, double OnSeconds, double PeriodSeconds);

/// <summary>A transient's answer.</summary>
/// <param name="Pitch">Of the grid, m.</param>
/// <param name="Unknowns">Of the network.</param>
/// <param name="SteadyCelsius">One a part, under the conditions as posted.</param>
/// <param name="Schedule">Null: not asked for.</param>
/// <param name="Impedances">One a part asked for.</param>
/// <param name="Pulse">Null: not asked for.</param>
/// <param name="Warnings">What the answer rests on that may surprise.</param>
/// <param name="Work">What it took.</param>
public sealed record TransientAnswer(
    double Pitch, int Unknowns, IReadOnlyList<double> SteadyCelsius, ScheduleCurve? Schedule, IReadOnlyList<ImpedanceCurve> Impedances, PulseState? Pulse, IReadOnlyList<string> Warnings, TransientWork Work);

/// <param name="Seconds">Of the moments, ascending.</param>
/// <param name="PartCelsius"><c>[part][moment]</c>.</param>
/// <param name="PeakCelsius">One a moment: the hottest of board and nodes that store heat.</param>
public sealed record ScheduleCurve(IReadOnlyList<double> Seconds, IReadOnlyList<IReadOnlyList<double>> PartCelsius, IReadOnlyList<double> PeakCelsius);

/// <param name="Part">That is heated and read.</param>
/// <param name="Impedance">K/W over time.</param>
/// <param name="IsLinear">False: of small changes about the steady state, as films depend on temperature.</param>
public sealed record ImpedanceCurve(int Part, ThermalImpedance Impedance, bool IsLinear);

/// <param name="Part">That is pulsed.</param>
/// <param name="PeakCelsius">At the end of each pulse, after all time.</param>
/// <param name="TroughCelsius">At the start of each.</param>
/// <param name="MeanCelsius">Of the period.</param>
public sealed record PulseState(int Part, double PeakCelsius, double TroughCelsius, double MeanCelsius);

public sealed record TransientWork(int Steps, int Solves, int SetUps);
