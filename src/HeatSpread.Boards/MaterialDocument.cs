namespace HeatSpread.Boards;

/// <summary>A material of a layout as it is written: its conductivities, or the shares of glass and resin of a woven laminate, or a table over temperature: exactly one of the three.</summary>
public sealed record MaterialDocument
{
    /// <summary>W/(m·K).</summary>
    public Conductivity? Conductivity { get; init; }

    /// <summary>Share of glass by volume, 0 to 1; the rest is resin.</summary>
    public double? GlassShare { get; init; }

    /// <summary>Conductivity of the resin, W/(m·K); null: that of <c>epoxy-resin</c>.</summary>
    public double? Resin { get; init; }

    /// <summary>Conductivity of the glass, W/(m·K); null: that of <c>e-glass</c>.</summary>
    public double? Glass { get; init; }

    /// <summary>Share by which the conductivity rises in each kelvin; null: it does not.</summary>
    public double? PerKelvin { get; init; }

    /// <summary>Where the conductivity is as given, °C; null: 25.</summary>
    public double? AtCelsius { get; init; }

    /// <summary>Heat capacity by volume, J/(m³·K); null: that of a usual laminate. Only transients use it.</summary>
    public double? JoulesPerCubicMeterKelvin { get; init; }

    /// <summary>Ascending in temperature; empty where one of the others is given.</summary>
    public IReadOnlyList<MaterialPoint> Table { get; init; } = [];
}

/// <param name="Celsius">Temperature.</param>
/// <param name="Conductivity">There, W/(m·K).</param>
public sealed record MaterialPoint(double Celsius, Conductivity Conductivity);
