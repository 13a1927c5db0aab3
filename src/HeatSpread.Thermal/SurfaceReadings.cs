namespace HeatSpread.Thermal;

/// <summary>How the board gives off its heat. SI units and °C.</summary>
/// <param name="Top">What is not under a contact.</param>
/// <param name="Bottom">As the top.</param>
/// <param name="Edges">The rim of the outline and of its openings.</param>
/// <param name="Contacts">In the conditions' order.</param>
public sealed record SurfaceReadings(SurfaceReading Top, SurfaceReading Bottom, SurfaceReading Edges, IReadOnlyList<ContactReading> Contacts)
{
    /// <summary>Of a field that was not solved for.</summary>
    public static SurfaceReadings None { get; } = new(SurfaceReading.None, SurfaceReading.None, SurfaceReading.None, []);
}

/// <summary>One side or the rim. Means are by area; null where there is no area.</summary>
public sealed record SurfaceReading
{
    internal static SurfaceReading None { get; } = new() { Correlation = "none", AreaSquareMeters = 0, Watts = 0, Warnings = [] };

    /// <summary>Name of the correlation, or that the film is given.</summary>
    public required string Correlation { get; init; }

    public required double AreaSquareMeters { get; init; }

    public double? MeanCelsius { get; init; }

    /// <summary>Given off in all.</summary>
    public required double Watts { get; init; }

    /// <summary>By convection; null where a film is given, which does not tell the two apart.</summary>
    public double? ConvectionWatts { get; init; }

    /// <summary>As <see cref="ConvectionWatts"/>.</summary>
    public double? RadiationWatts { get; init; }

    /// <summary>W/(m²·K): the mean of the local films of convection (over the ambient) and radiation (over the surroundings) together.</summary>
    public double? MeanFilm { get; init; }

    /// <summary>Smallest local film, W/(m²·K).</summary>
    public double? LeastFilm { get; init; }

    /// <summary>Greatest local film, W/(m²·K); along a stream that of the cells at the leading edge.</summary>
    public double? GreatestFilm { get; init; }

    public double? ConvectiveFilm { get; init; }

    public double? RadiativeFilm { get; init; }

    /// <summary>m: the length in the dimensionless numbers.</summary>
    public double? LengthScale { get; init; }

    /// <summary>At the mean temperature.</summary>
    public double? Rayleigh { get; init; }

    /// <summary>At the mean temperature, over the whole length.</summary>
    public double? Reynolds { get; init; }

    /// <summary>Of the mean convective film.</summary>
    public double? Nusselt { get; init; }

    public double? Prandtl { get; init; }

    /// <summary>Where the correlation is used outside the range that it was published for.</summary>
    public required IReadOnlyList<string> Warnings { get; init; }
}

/// <param name="Watts">Into the contact; negative where it heats the board.</param>
/// <param name="MeanCelsius">Of the board's face under it; null where it has no area of its own.</param>
/// <param name="AreaSquareMeters">On the board, without what earlier contacts cover.</param>
public sealed record ContactReading(double Watts, double? MeanCelsius, double AreaSquareMeters);
