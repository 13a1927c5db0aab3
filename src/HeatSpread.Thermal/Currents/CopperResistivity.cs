namespace HeatSpread.Thermal.Currents;

/// <summary>Resistivity of annealed copper, of foil and plating alike: IEC 60028 (International Annealed Copper Standard).</summary>
internal static class CopperResistivity
{
    /// <summary>Ω·m at 20 °C.</summary>
    public const double At20Celsius = 1.7241e-8;

    /// <summary>Temperature coefficient at 20 °C and constant mass, 1/K.</summary>
    public const double PerKelvin = 0.00393;

    /// <summary>°C; where solid copper ends (CRC Handbook of Chemistry and Physics, from memory).</summary>
    public const double MeltingCelsius = 1084.62;

    /// <summary>The standard's line reaches 0 at -234 °C; real copper levels off at a residual resistivity, here a hundredth of that at 20 °C.</summary>
    private const double LeastShare = 0.01;

    /// <returns>Ω·m.</returns>
    public static double At(double celsius) => At20Celsius * Math.Max(LeastShare, 1 + PerKelvin * (celsius - 20));
}
