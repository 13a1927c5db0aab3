namespace HeatSpread.Thermal.Boundary;

/// <summary>Which correlation holds on a side, its dimensionless numbers, and warnings where it is used outside the range that it was published for.</summary>
internal sealed record SurfaceRegime
{
    /// <summary>A film that the conditions give.</summary>
    public static SurfaceRegime Given { get; } = new() { Correlation = "given film" };

    public required string Correlation { get; init; }

    /// <summary>m.</summary>
    public double? LengthScale { get; init; }

    public double? Rayleigh { get; init; }

    public double? Reynolds { get; init; }

    public double? Prandtl { get; init; }

    /// <summary>Of the air at the film temperature, W/(m·K).</summary>
    public double? AirConductivity { get; init; }

    public IReadOnlyList<string> Warnings { get; init; } = [];
}
