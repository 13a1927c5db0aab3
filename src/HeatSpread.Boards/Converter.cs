namespace HeatSpread.Boards;

public enum ConverterTopology
{
    /// <summary>Steps the input down.</summary>
    Buck,

    /// <summary>Steps the input up.</summary>
    Boost,
}

/// <summary>
/// The operating point of a switching converter in continuous conduction, from which the watts of two parts follow: of the one with the switches and of the inductor.
/// </summary>
public sealed record Converter
{
    public required ConverterTopology Topology { get; init; }

    /// <summary>Index into <see cref="Board.Parts"/> of the part with the switches.</summary>
    public required int Part { get; init; }

    /// <summary>Index into <see cref="Board.Parts"/>.</summary>
    public required int Inductor { get; init; }

    /// <summary>V, positive.</summary>
    public required double InputVolts { get; init; }

    /// <summary>V, positive; below the input's in a buck converter, above it in a boost converter.</summary>
    public required double OutputVolts { get; init; }

    /// <summary>A, at least 0.</summary>
    public required double OutputAmperes { get; init; }

    /// <summary>Hz, positive.</summary>
    public required double SwitchingHertz { get; init; }

    /// <summary>H; null: the ripple is left out.</summary>
    public double? Henry { get; init; }

    /// <summary>Direct-current resistance of the inductor.</summary>
    public required WarmResistance Winding { get; init; }

    /// <summary>W of the inductor's core at this operating point, at least 0.</summary>
    public double CoreWatts { get; init; }

    /// <summary>Output over input power, measured, above 0 and below 1; null: <see cref="Stage"/> says what is lost.</summary>
    public double? Efficiency { get; init; }

    /// <summary>Null exactly where <see cref="Efficiency"/> is given.</summary>
    public PowerStage? Stage { get; init; }
}

/// <summary>A resistance that rises with temperature on a straight line.</summary>
/// <param name="Ohms">At <paramref name="AtCelsius"/>, at least 0.</param>
/// <param name="PerKelvin">Share of it, at least 0.</param>
/// <param name="AtCelsius">°C.</param>
public sealed record WarmResistance(double Ohms, double PerKelvin, double AtCelsius)
{
    public double At(double celsius) => Ohms * Math.Max(0, 1 + PerKelvin * (celsius - AtCelsius));
}

/// <summary>What the switches of a converter lose by.</summary>
public sealed record PowerStage
{
    /// <summary>On-resistance of the controlled switch.</summary>
    public required WarmResistance Switch { get; init; }

    /// <summary>On-resistance of the synchronous rectifier, or the diode's.</summary>
    public required WarmResistance Rectifier { get; init; }

    /// <summary>Forward drop of a diode as rectifier, V; 0 for a switch.</summary>
    public double RectifierVolts { get; init; }

    /// <summary>s of overlap of voltage and current at turn-on and at turn-off together.</summary>
    public double OverlapSeconds { get; init; }

    /// <summary>s at each of the two edges while neither switch is on.</summary>
    public double DeadTimeSeconds { get; init; }

    /// <summary>Forward drop of the body diode that carries the current meanwhile, V.</summary>
    public double DeadTimeVolts { get; init; }

    /// <summary>C of all gates, each period.</summary>
    public double GateCoulomb { get; init; }

    /// <summary>V from which that charge is drawn.</summary>
    public double GateVolts { get; init; }

    /// <summary>A that the controller draws from the input.</summary>
    public double QuiescentAmperes { get; init; }
}
