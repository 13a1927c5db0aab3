namespace HeatSpread.Rendering.Charts;

/// <summary>One axis of a chart.</summary>
/// <param name="Title">With the unit.</param>
/// <param name="IsLogarithmic">Equal factors are equal lengths; all values are positive.</param>
/// <param name="Least">Where it begins; null: below all values, at a round number.</param>
/// <param name="Most">Where it ends; null: above all values, at a round number.</param>
public sealed record ChartAxis(string Title, bool IsLogarithmic = false, double? Least = null, double? Most = null)
{
    private const int MostIntervals = 8;

    /// <summary>The range that is drawn, and its ticks with their text.</summary>
    internal ChartScale Over(IEnumerable<double> values, int mostIntervals = MostIntervals)
    {
        double[] all = [.. values.Where(double.IsFinite)];
        double low = Least ?? all.DefaultIfEmpty(0).Min(), high = Most ?? all.DefaultIfEmpty(1).Max();
        if (!(high > low)) (low, high) = IsLogarithmic ? (low / 2, low * 2) : (low - 0.5, low + 0.5);
        return IsLogarithmic ? Decades(low, high, mostIntervals) : Linear(low, high, mostIntervals);
    }

    private ChartScale Linear(double low, double high, int mostIntervals)
    {
        var ticks = Ticks.Between(low, high, mostIntervals);
        double from = Least ?? Math.Floor(low / ticks.Step + 1e-9) * ticks.Step, to = Most ?? Math.Ceiling(high / ticks.Step - 1e-9) * ticks.Step;
        ticks = Ticks.Between(from, to, mostIntervals + 2);
        return new(from, to, false, [.. ticks.Values.Select(value => (value, Lettering.Number(value, ticks.Decimals)))]);
    }

    private ChartScale Decades(double low, double high, int mostIntervals)
    {
        double from = Least ?? Math.Pow(10, Math.Floor(Math.Log10(low) + 1e-9)), to = Most ?? Math.Pow(10, Math.Ceiling(Math.Log10(high) - 1e-9));
        int first = (int)Math.Ceiling(Math.Log10(from) - 1e-9), last = (int)Math.Floor(Math.Log10(to) + 1e-9), every = Math.Max(1, (last - first + mostIntervals - 1) / mostIntervals);
        return new(from, to, true, [.. Enumerable.Range(first, last - first + 1).Where(power => (power - first) % every == 0).Select(power => (Math.Pow(10, power), Power(power)))]);
    }

    private static string Power(int power) => power is >= -3 and <= 4 ? Lettering.Number(Math.Pow(10, power), Math.Max(0, -power)) : "1e" + Lettering.Number(power, 0);
}

/// <summary>A range and its ticks.</summary>
internal sealed record ChartScale(double From, double To, bool IsLogarithmic, IReadOnlyList<(double Value, string Text)> Ticks)
{
    /// <summary>0 at the beginning, 1 at the end.</summary>
    public double Fraction(double value) => IsLogarithmic ? Math.Log(value / From) / Math.Log(To / From) : (value - From) / (To - From);
}
