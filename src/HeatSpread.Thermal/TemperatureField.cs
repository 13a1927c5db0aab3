namespace HeatSpread.Thermal;

/// <summary>The computed temperatures of a board, and what the solve says of itself. Plain data: it can be stored and read back.</summary>
public sealed class TemperatureField
{
    public required BoardGrid Grid { get; init; }

    /// <summary>One array a stack row, top to bottom: °C at the row's centre, <c>[row * Columns + column]</c>, NaN outside the board.</summary>
    public required IReadOnlyList<float[]> RowCelsius { get; init; }

    /// <summary>°C of the top outer face, as <see cref="RowCelsius"/>.</summary>
    public required float[] TopFaceCelsius { get; init; }

    /// <summary>°C of the bottom outer face, as <see cref="RowCelsius"/>.</summary>
    public required float[] BottomFaceCelsius { get; init; }

    /// <summary>One a part, in the board's order.</summary>
    public required IReadOnlyList<PartTemperatures> Parts { get; init; }

    public required HeatBalance Heat { get; init; }

    /// <summary>Null where the conditions have no currents.</summary>
    public CurrentField? Currents { get; init; }

    /// <summary>Null where the conditions have no converter.</summary>
    public ConverterReading? Converter { get; init; }

    public ViaReadings Vias { get; init; } = ViaReadings.None;

    public SurfaceReadings Surfaces { get; init; } = SurfaceReadings.None;

    public required SolveFigures Solve { get; init; }
}

/// <param name="Watts">Heat made in the part.</param>
/// <param name="NodeCelsius">One a node of the part's network; empty without one.</param>
/// <param name="TerminalCelsius">One a terminal: mean over its pad.</param>
/// <param name="TerminalWatts">One a terminal: what flows into the board there.</param>
/// <param name="BoardCelsius">Hottest of the board under its pads (under its body where it has none): cells at least half covered, or the nearest one.</param>
public sealed record PartTemperatures(double Watts, IReadOnlyList<double> NodeCelsius, IReadOnlyList<double> TerminalCelsius, IReadOnlyList<double> TerminalWatts, double BoardCelsius)
{
    /// <summary>By what its heat leaves it; they add up to <see cref="Watts"/>.</summary>
    public IReadOnlyList<PartPath> Paths { get; init; } = [];

    /// <summary>The hottest node, or the board under the part where it has no network.</summary>
    public double MaxCelsius => NodeCelsius.Count > 0 ? NodeCelsius.Max() : BoardCelsius;
}

/// <summary>Heat by way out, W.</summary>
public sealed record HeatBalance(double DissipatedWatts, double TopWatts, double BottomWatts, double EdgesWatts, IReadOnlyList<double> ContactWatts, double PartsWatts)
{
    /// <summary>Made less given off.</summary>
    public double ImbalanceWatts => DissipatedWatts - TopWatts - BottomWatts - EdgesWatts - ContactWatts.Sum() - PartsWatts;
}

public sealed record SolveFigures(int Unknowns, int Iterations, double RelativeResidual, double AssembleSeconds, double SolveSeconds)
{
    /// <summary>
    /// Heat that films which depend on temperature still missed after each pass of the outer iteration, as a share of the heat; empty where every film is given.
    /// </summary>
    public IReadOnlyList<double> FilmResiduals { get; init; } = [];
}
