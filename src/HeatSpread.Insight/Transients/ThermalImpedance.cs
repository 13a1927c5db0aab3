using HeatSpread.Thermal.Transient;

namespace HeatSpread.Insight.Transients;

/// <summary>
/// Kelvin per watt of a part after a watt is switched on in it, over time. Between the moments that were computed it follows a monotone cubic over the logarithm of time (Fritsch and Carlson, SIAM Journal on
/// Numerical Analysis 17, 1980, 238), before the first a power of time through the first two.
/// </summary>
public sealed class ThermalImpedance
{
    private readonly double[] _logarithms, _slopes;

    /// <param name="curve">Of one watt, at least two moments and the settled state.</param>
    /// <param name="part">The part that is read.</param>
    public ThermalImpedance(TransientCurve curve, int part)
    {
        ArgumentNullException.ThrowIfNull(curve);
        ArgumentOutOfRangeException.ThrowIfLessThan(curve.Moments.Count, 3, nameof(curve));
        var moments = curve.Moments.Where(moment => double.IsFinite(moment.Seconds)).ToArray();
        Seconds = [.. moments.Select(moment => moment.Seconds)];
        KelvinPerWatt = [.. moments.Select(moment => moment.Parts[part])];
        SettledKelvinPerWatt = curve.Moments[^1].Parts[part];
        _logarithms = [.. Seconds.Select(second => Math.Log(second))];
        _slopes = MonotoneSlopes(_logarithms, KelvinPerWatt);
    }

    /// <summary>Ascending, s.</summary>
    public IReadOnlyList<double> Seconds { get; }

    /// <summary>One a moment.</summary>
    public IReadOnlyList<double> KelvinPerWatt { get; }

    /// <summary>After all time.</summary>
    public double SettledKelvinPerWatt { get; }

    /// <summary>At a time, s, at least 0.</summary>
    public double At(double seconds)
    {
        if (seconds <= 0) return 0;
        if (seconds <= Seconds[0]) return KelvinPerWatt[0] * Math.Pow(seconds / Seconds[0], FirstPower());
        if (seconds >= Seconds[^1]) return Beyond(seconds);
        double x = Math.Log(seconds);
        int next = Array.FindIndex(_logarithms, logarithm => logarithm > x);
        if (next < 0) return KelvinPerWatt[^1];
        double width = _logarithms[next] - _logarithms[next - 1], t = (x - _logarithms[next - 1]) / width;
        double a = KelvinPerWatt[next - 1], b = KelvinPerWatt[next], da = _slopes[next - 1] * width, db = _slopes[next] * width;
        return a + t * (da + t * (3 * (b - a) - 2 * da - db + t * (2 * (a - b) + da + db)));
    }

    /// <summary>The last of the rise is one exponential, whose rate the last computed moments tell.</summary>
    private double Beyond(double seconds)
    {
        double left = SettledKelvinPerWatt - KelvinPerWatt[^1], before = SettledKelvinPerWatt - KelvinPerWatt[^2];
        if (left <= 0 || before <= left) return SettledKelvinPerWatt;
        double rate = Math.Log(before / left) / (Seconds[^1] - Seconds[^2]);
        return SettledKelvinPerWatt - left * Math.Exp(-rate * (seconds - Seconds[^1]));
    }

    private double FirstPower() => KelvinPerWatt[0] > 0 && KelvinPerWatt[1] > KelvinPerWatt[0]
        ? Math.Clamp(Math.Log(KelvinPerWatt[1] / KelvinPerWatt[0]) / (_logarithms[1] - _logarithms[0]), 0, 1)
        : 1;

    private static double[] MonotoneSlopes(double[] x, IReadOnlyList<double> y)
    {
        var slopes = new double[x.Length];
        double Secant(int i) => (y[i + 1] - y[i]) / (x[i + 1] - x[i]);
        for (int i = 1; i < x.Length - 1; i++)
        {
            double left = Secant(i - 1), right = Secant(i);
            if (left * right <= 0) continue;
            double w = x[i + 1] - x[i], v = x[i] - x[i - 1];
            slopes[i] = 3 * (v + w) / ((2 * w + v) / left + (w + 2 * v) / right);
        }
        if (x.Length > 1) (slopes[0], slopes[^1]) = (Secant(0), Secant(x.Length - 2));
        return slopes;
    }
}
