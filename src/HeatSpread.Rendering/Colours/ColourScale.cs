namespace HeatSpread.Rendering;

/// <summary>From a value to a colour: which values lie at the ends of the palette.</summary>
/// <param name="Min">Value of the palette's first colour.</param>
/// <param name="Max">Value of its last colour, above <paramref name="Min"/>.</param>
/// <param name="Palette">The colours.</param>
internal sealed record ColourScale(double Min, double Max, Palette Palette)
{
    /// <summary>Narrowest scale made by itself, so that a board of one temperature is not painted with rounding errors.</summary>
    private const double LeastSpan = 0.01;

    /// <param name="range">Of the values shown.</param>
    /// <param name="min">Asked for; null: from the values.</param>
    /// <param name="max">Asked for; null: from the values.</param>
    /// <param name="palette">The colours.</param>
    /// <exception cref="ArgumentException">An end is not a number, or the ends are not in order.</exception>
    public static ColourScale For(ValueRange range, double? min, double? max, Palette palette)
    {
        if (min is { } a && !double.IsFinite(a)) throw new ArgumentException($"min must be a number; it is {a}", nameof(min));
        if (max is { } b && !double.IsFinite(b)) throw new ArgumentException($"max must be a number; it is {b}", nameof(max));
        if (min >= max) throw new ArgumentException($"min must be below max; they are {min} and {max}", nameof(min));
        double low = min ?? range.Min, high = max ?? range.Max;
        if (high - low >= LeastSpan) return new ColourScale(low, high, palette);
        // the asked end lies beyond every value, or all values are one: open a scale of 1 K on the free side
        if (min is null && max is null) return new ColourScale(low - 0.5, high + 0.5, palette);
        return min is null ? new ColourScale(high - 1, high, palette) : new ColourScale(low, Math.Max(high, low + 1), palette);
    }

    /// <summary>A scale with 0 in the middle.</summary>
    public static ColourScale Signed(ValueRange range, double? min, double? max, Palette palette)
    {
        if (min is not null || max is not null)
        {
            double end = Math.Max(Math.Abs(min ?? 0), Math.Abs(max ?? 0));
            return For(range, -end, end, palette);
        }
        double reach = Math.Max(Math.Max(Math.Abs(range.Min), Math.Abs(range.Max)), LeastSpan);
        return new ColourScale(-reach, reach, palette);
    }

    /// <summary>Place in the palette, 0 to 1, clipped.</summary>
    public double Fraction(double value) => Math.Clamp((value - Min) / (Max - Min), 0, 1);
}

/// <summary>Lowest and highest of some values.</summary>
internal readonly record struct ValueRange(double Min, double Max)
{
    /// <summary>Of the values that are numbers.</summary>
    /// <exception cref="ArgumentException">There is none.</exception>
    public static ValueRange Of(ReadOnlySpan<float> values)
    {
        float min = float.PositiveInfinity, max = float.NegativeInfinity;
        foreach (float v in values)
        {
            if (v < min) min = v;
            if (v > max) max = v;
        }
        return min <= max ? new ValueRange(min, max) : throw new ArgumentException("no cell has a value", nameof(values));
    }
}
