namespace HeatSpread.Thermal;

/// <summary>A converter's operating point at the temperatures of a field.</summary>
/// <param name="DutyRatio">Share of the period during which the controlled switch is on.</param>
/// <param name="RippleAmperes">Peak to peak, of the inductor's current; 0 where the inductance was not given.</param>
/// <param name="InductorAmperes">Mean.</param>
/// <param name="InputWatts">Output and all losses; losses of currents in the board's copper are not among them.</param>
/// <param name="OutputWatts">Volts times amperes.</param>
/// <param name="Losses">By part and kind.</param>
/// <param name="PartCelsius">Where the part's heat is made: what its resistance was taken at.</param>
/// <param name="InductorCelsius">As <paramref name="PartCelsius"/>.</param>
public sealed record ConverterReading(
    double DutyRatio, double RippleAmperes, double InductorAmperes, double InputWatts, double OutputWatts, IReadOnlyList<ConverterLoss> Losses, double PartCelsius, double InductorCelsius)
{
    public double Efficiency => OutputWatts / InputWatts;

    /// <summary>Where the point lies outside what the loss model holds for; empty within it.</summary>
    public IReadOnlyList<string> Warnings { get; init; } = [];
}

/// <param name="Part">Index into the board's parts.</param>
/// <param name="Kind"><c>switchConduction</c>, <c>rectifierConduction</c>, <c>switching</c>, <c>deadTime</c>, <c>gate</c>, <c>quiescent</c>, <c>measured</c>, <c>winding</c> or <c>core</c>.</param>
/// <param name="Watts">Lost.</param>
public sealed record ConverterLoss(int Part, string Kind, double Watts);
