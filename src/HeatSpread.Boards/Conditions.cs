namespace HeatSpread.Boards;

/// <summary>What surrounds a board while it works: checked, immutable, SI units and degrees Celsius.</summary>
public sealed record Conditions
{
    /// <summary>Pressure of the standard atmosphere at sea level, kPa (ISO 2533).</summary>
    public const double StandardKilopascal = 101.325;

    public required double AmbientCelsius { get; init; }

    /// <summary>Air pressure, kPa; it scales the air's density. The standard atmosphere (ISO 2533) unless given.</summary>
    public double PressureKilopascal { get; init; } = StandardKilopascal;

    public required Surface Top { get; init; }

    public required Surface Bottom { get; init; }

    /// <summary>W/(m²·K) on the rim of the outline and of its openings; at least 0.</summary>
    public required double EdgesFilm { get; init; }

    public required IReadOnlyList<Contact> Contacts { get; init; }

    /// <summary>Watts of parts, by index into <see cref="Board.Parts"/>, in place of the layout's.</summary>
    public required IReadOnlyDictionary<int, double> Watts { get; init; }

    /// <summary>Direct currents through the copper; their loss heats the board.</summary>
    public IReadOnlyList<DirectCurrent> Currents { get; init; } = [];

    /// <summary>Gives the watts of two parts by the operating point; null: none.</summary>
    public Converter? Converter { get; init; }

    /// <summary>Highest temperature allowed anywhere in the board; null: no limit.</summary>
    public double? BoardLimitCelsius { get; init; }
}

/// <summary>How one side gives off its heat: a given film, or air computed from the published correlations.</summary>
public abstract record Surface;

/// <param name="WattsPerSquareMeterKelvin">The whole film coefficient of the side, at least 0.</param>
public sealed record FilmSurface(double WattsPerSquareMeterKelvin) : Surface;

public enum AirOrientation
{
    Vertical,
    FaceUp,
    FaceDown,
}

/// <summary>Still air with radiation.</summary>
/// <param name="Orientation">Of this side.</param>
/// <param name="Emissivity">0 to 1.</param>
/// <param name="SurroundingsCelsius">What radiation sees.</param>
public sealed record StillAirSurface(AirOrientation Orientation, double Emissivity, double SurroundingsCelsius) : Surface;

/// <summary>A stream of air along the board, with radiation.</summary>
/// <param name="MetersPerSecond">Positive.</param>
/// <param name="Along">The direction of the stream in the plan: one of (±1, 0), (0, ±1).</param>
/// <param name="Emissivity">0 to 1.</param>
/// <param name="SurroundingsCelsius">What radiation sees.</param>
public sealed record MovingAirSurface(double MetersPerSecond, Point Along, double Emissivity, double SurroundingsCelsius) : Surface;

/// <summary>A boss, pad or cold plate: it replaces the film on its area.</summary>
/// <param name="Name">Unique.</param>
/// <param name="Side">On which side.</param>
/// <param name="Area">Metres.</param>
/// <param name="WattsPerSquareMeterKelvin">Positive.</param>
/// <param name="SinkCelsius">Temperature behind it.</param>
public sealed record Contact(string Name, BoardSide Side, Region Area, double WattsPerSquareMeterKelvin, double SinkCelsius);
