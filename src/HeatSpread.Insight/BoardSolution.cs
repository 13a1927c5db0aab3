using HeatSpread.Boards;
using HeatSpread.Thermal;

namespace HeatSpread.Insight;

/// <summary>A solved board: the field, and what it says. Lengths in metres, temperatures in °C.</summary>
public sealed record BoardSolution
{
    public required TemperatureField Field { get; init; }

    public required Verdict Verdict { get; init; }

    public required Place Peak { get; init; }

    /// <summary>One a copper layer.</summary>
    public required IReadOnlyList<LayerSummary> Layers { get; init; }

    /// <summary>One a part, in the board's order.</summary>
    public required IReadOnlyList<PartSummary> Parts { get; init; }

    public required IReadOnlyList<ProbeReading> Probes { get; init; }

    /// <summary>One a current, in the conditions' order.</summary>
    public required IReadOnlyList<CurrentSummary> Currents { get; init; }

    /// <summary>Hottest first.</summary>
    public required IReadOnlyList<HotSpot> HotSpots { get; init; }

    /// <summary>Why it is hot: largest gain first, then those without one.</summary>
    public required IReadOnlyList<Finding> Findings { get; init; }

    /// <summary>Edits that cool a part by more than the grid's error, checked, largest gain first.</summary>
    public required IReadOnlyList<SuggestedEdit> Edits { get; init; }

    /// <summary>Where the field leaves what its figures hold for; empty within it.</summary>
    public required IReadOnlyList<string> Warnings { get; init; }

    public required Accuracy Accuracy { get; init; }

    public required StepSeconds Seconds { get; init; }
}

/// <param name="Pass">No limit is exceeded.</param>
/// <param name="Reasons">A sentence for each limit exceeded.</param>
public sealed record Verdict(bool Pass, IReadOnlyList<string> Reasons);

/// <summary>A temperature at a place.</summary>
/// <param name="Celsius">There.</param>
/// <param name="RowName">The layer's name, or the kind and number of a row without one.</param>
/// <param name="At">Metres.</param>
/// <param name="Net">Name of the net there, or null.</param>
public sealed record Place(double Celsius, string RowName, Point At, string? Net)
{
    /// <summary>Bound on the grid's error of <see cref="Celsius"/>; null where none was asked for.</summary>
    public double? GridErrorKelvin { get; init; }
}

/// <param name="Name">The layer.</param>
/// <param name="MaxCelsius">Over the whole row, laminate included.</param>
/// <param name="MinCelsius">As the maximum.</param>
/// <param name="MeanCelsius">By area.</param>
/// <param name="CopperShare">Of the board's area.</param>
public sealed record LayerSummary(string Name, double MaxCelsius, double MinCelsius, double MeanCelsius, double CopperShare);

/// <param name="Id">The part.</param>
/// <param name="Watts">Made in it.</param>
/// <param name="MaxCelsius">Hottest node, or board under the pads.</param>
/// <param name="LimitCelsius">Null: none given.</param>
/// <param name="Nodes">By name; empty without a network.</param>
/// <param name="Terminals">In the document's order.</param>
public sealed record PartSummary(string Id, double Watts, double MaxCelsius, double? LimitCelsius, IReadOnlyDictionary<string, double> Nodes, IReadOnlyList<TerminalReading> Terminals)
{
    public double? MarginKelvin => LimitCelsius - MaxCelsius;

    /// <summary>Bound on the grid's error of <see cref="MaxCelsius"/>; null where none was asked for.</summary>
    public double? GridErrorKelvin { get; init; }
}

public sealed record TerminalReading(string Name, double Celsius, double Watts);

/// <param name="Current">As the conditions say it.</param>
/// <param name="Net">Name.</param>
/// <param name="Reading">What it does in the copper.</param>
/// <param name="PeakLayer">Name of the layer of greatest density.</param>
public sealed record CurrentSummary(DirectCurrent Current, string Net, CurrentReading Reading, string PeakLayer);

public sealed record ProbeReading(string Name, double Celsius)
{
    /// <summary>Bound on the grid's error; null where none was asked for.</summary>
    public double? GridErrorKelvin { get; init; }
}

/// <param name="Rank">1 is the hottest.</param>
/// <param name="Celsius">At its top.</param>
/// <param name="Layer">Index into the board's layers.</param>
/// <param name="At">Metres.</param>
/// <param name="Net">Name, or null.</param>
/// <param name="Part">Id of the part whose pads or body lie there, or null.</param>
public sealed record HotSpot(int Rank, double Celsius, int Layer, Point At, string? Net, string? Part);

/// <param name="PitchMeters">Asked for, or chosen.</param>
/// <param name="Unknowns">Cells of the board and nodes.</param>
/// <param name="Iterations">Of the solver.</param>
/// <param name="RelativeResidual">True residual over the heat.</param>
/// <param name="GridErrorKelvin">Bound for the worst of peak, probes, and parts that make heat or have a limit with the terminals that heat goes through.</param>
/// <param name="TargetErrorMet">Whether the estimate stays below the error asked for, or the default where nothing was asked for; null where a pitch was.</param>
public sealed record Accuracy(double PitchMeters, int Unknowns, int Iterations, double RelativeResidual, double GridErrorKelvin, bool? TargetErrorMet);

public sealed record StepSeconds(double Raster, double Assemble, double Solve, double GridError, double Findings, double Total);
