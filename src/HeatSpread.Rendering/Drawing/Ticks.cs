namespace HeatSpread.Rendering;

/// <summary>Round numbers along a scale.</summary>
/// <param name="Values">Multiples of the step within the range, rising.</param>
/// <param name="Step">1, 2 or 5 times a power of ten.</param>
/// <param name="Decimals">Digits after the point that the step needs.</param>
internal sealed record Ticks(IReadOnlyList<double> Values, double Step, int Decimals)
{
    /// <param name="min">Lower end.</param>
    /// <param name="max">Upper end, above <paramref name="min"/>.</param>
    /// <param name="atMost">Most intervals wanted, at least 1.</param>
    public static Ticks Between(double min, double max, int atMost)
    {
        double step = RoundStep((max - min) / atMost);
        const double slack = 1e-9; // so that an end which is a multiple of the step is a tick in spite of rounding
        long first = (long)Math.Ceiling(min / step - slack), last = (long)Math.Floor(max / step + slack);
        var values = new List<double>();
        for (long i = first; i <= last; i++) values.Add(i * step);
        return new Ticks(values, step, Math.Clamp((int)-Math.Floor(Math.Log10(step) + slack), 0, 9));
    }

    /// <summary>The smallest of 1, 2, 5 times a power of ten that is not below <paramref name="least"/>.</summary>
    public static double RoundStep(double least)
    {
        double power = Math.Pow(10, Math.Floor(Math.Log10(least)));
        const double slack = 1e-9;
        foreach (double factor in (ReadOnlySpan<double>)[1, 2, 5])
            if (factor * power >= least * (1 - slack)) return factor * power;
        return 10 * power;
    }
}
