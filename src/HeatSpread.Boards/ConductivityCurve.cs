namespace HeatSpread.Boards;

/// <param name="Celsius">Temperature.</param>
/// <param name="InPlane">Conductivity in the plane there, as a share of the material's own; positive.</param>
/// <param name="Through">As <paramref name="InPlane"/>, through the plane.</param>
public readonly record struct CurvePoint(double Celsius, double InPlane, double Through);

/// <summary>How a material's conductivity depends on temperature: straight lines between points, even beyond the first and the last.</summary>
public sealed class ConductivityCurve : IEquatable<ConductivityCurve>
{
    /// <summary>What a straight line falls to at least, as a share.</summary>
    internal const double LeastShare = 0.05;

    private readonly CurvePoint[] _points;

    /// <param name="points">Ascending in temperature, at least one.</param>
    public ConductivityCurve(IReadOnlyList<CurvePoint> points)
    {
        ArgumentNullException.ThrowIfNull(points);
        _points = [.. points];
    }

    public IReadOnlyList<CurvePoint> Points => _points;

    /// <summary>By points: two layouts that say the same of a material mean the same.</summary>
    public bool Equals(ConductivityCurve? other) => other is not null && _points.AsSpan().SequenceEqual(other._points);

    public override bool Equals(object? obj) => Equals(obj as ConductivityCurve);

    public override int GetHashCode() => HashCode.Combine(_points.Length, _points[0], _points[^1]);

    /// <summary>One straight line through 1 at a temperature, as far as it stays positive.</summary>
    /// <param name="perKelvin">Share by which it rises in each kelvin.</param>
    /// <param name="atCelsius">Where it is 1.</param>
    public static ConductivityCurve Line(double perKelvin, double atCelsius)
    {
        const double cold = -273.15, hot = 1500;
        double At(double celsius) => 1 + perKelvin * (celsius - atCelsius);
        double least = LineEnd(perKelvin, atCelsius);
        double[] places = least is > cold and < hot ? [cold, least, hot] : [cold, hot];
        return new([.. places.Select(celsius => new CurvePoint(celsius, Math.Max(LeastShare, At(celsius)), Math.Max(LeastShare, At(celsius))))]);
    }

    /// <summary>Where the line of <see cref="Line"/> comes down to the least share and is held there, °C; NaN where it never does.</summary>
    internal static double LineEnd(double perKelvin, double atCelsius) => perKelvin == 0 ? double.NaN : atCelsius - (1 - LeastShare) / perKelvin;

    /// <returns>Shares of the material's own conductivity, in the plane and through it.</returns>
    public (double InPlane, double Through) At(double celsius)
    {
        if (celsius <= _points[0].Celsius) return (_points[0].InPlane, _points[0].Through);
        int next = Array.FindIndex(_points, point => point.Celsius > celsius);
        if (next < 0) return (_points[^1].InPlane, _points[^1].Through);
        var (a, b) = (_points[next - 1], _points[next]);
        double along = (celsius - a.Celsius) / (b.Celsius - a.Celsius);
        return (a.InPlane + along * (b.InPlane - a.InPlane), a.Through + along * (b.Through - a.Through));
    }
}

/// <summary>What a material is in a row of the stack.</summary>
/// <param name="Conductivity">At the temperature at which the curve is 1, or at any where there is none.</param>
/// <param name="Curve">Null: it does not depend on temperature.</param>
/// <param name="HeatCapacity">By volume, J/(m³·K); null: not given, the usual one of the row's kind.</param>
internal readonly record struct MaterialValue(Conductivity Conductivity, ConductivityCurve? Curve, double? HeatCapacity)
{
    /// <summary>Null: nothing is said of where it holds.</summary>
    public TemperatureRange? Range { get; init; }
}

/// <summary>Where what is said of a material's conductivity holds.</summary>
/// <param name="Material">Its name.</param>
/// <param name="FromCelsius">Lowest temperature.</param>
/// <param name="ToCelsius">Highest temperature.</param>
/// <param name="Beyond">What is used outside, as the end of a sentence.</param>
public sealed record TemperatureRange(string Material, double FromCelsius, double ToCelsius, string Beyond);
