namespace HeatSpread.Insight.Transients;

/// <summary>
/// What a part comes to under a pulse that repeats for ever: superposition of steps on its thermal impedance, exact for films that do not depend on temperature.
/// </summary>
/// <param name="PeakKelvin">Over the state without the pulses, at the end of each.</param>
/// <param name="TroughKelvin">At the start of each.</param>
/// <param name="MeanKelvin">Of the whole period.</param>
public sealed record RepeatedPulse(double PeakKelvin, double TroughKelvin, double MeanKelvin)
{
    /// <summary>Pulses that are added one by one; those before are added as an integral, whose error falls with the square of their number.</summary>
    private const int Singly = 400;

    /// <param name="impedance">Of the part.</param>
    /// <param name="watts">While the pulse is on; 0 between.</param>
    /// <param name="onSeconds">Positive, less than the period.</param>
    /// <param name="periodSeconds">Positive.</param>
    public static RepeatedPulse Of(ThermalImpedance impedance, double watts, double onSeconds, double periodSeconds)
    {
        ArgumentNullException.ThrowIfNull(impedance);
        ArgumentOutOfRangeException.ThrowIfNegativeOrZero(onSeconds);
        ArgumentOutOfRangeException.ThrowIfGreaterThanOrEqual(onSeconds, periodSeconds);
        double duty = onSeconds / periodSeconds, settled = impedance.SettledKelvinPerWatt;
        double Older(double from) => duty * (settled - impedance.At(from));
        double peak = 0, trough = 0;
        for (int k = 0; k < Singly; k++)
        {
            peak += impedance.At(k * periodSeconds + onSeconds) - impedance.At(k * periodSeconds);
            trough += impedance.At((k + 1) * periodSeconds) - impedance.At((k + 1) * periodSeconds - onSeconds);
        }
        double half = (Singly - 0.5) * periodSeconds;
        peak += Older(half + onSeconds / 2);
        trough += Older(half + periodSeconds - onSeconds / 2);
        return new(watts * peak, watts * trough, watts * duty * settled);
    }
}
