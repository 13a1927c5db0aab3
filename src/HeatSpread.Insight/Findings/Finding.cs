using HeatSpread.Boards;
using HeatSpread.Thermal;

namespace HeatSpread.Insight;

/// <summary>What is found; each is a word of the answer.</summary>
public enum FindingKind
{
    PlaneCut,
    IsolatedCopper,
    StarvedTerminal,
    ViaReliance,
    IdleVias,
    CrowdedSources,
    QuietGroundBridge,
    SwitchingArea,
}

/// <summary>Why it is hot: one thing in the layout, where it is, and what it costs. Lengths in metres.</summary>
public sealed record Finding
{
    public required FindingKind Kind { get; init; }

    /// <summary>Index into the board's layers; -1 where it concerns no single one.</summary>
    public int Layer { get; init; } = -1;

    /// <summary>Index into the board's nets; -1 for none.</summary>
    public int Net { get; init; } = -1;

    /// <summary>Index of the net whose copper cuts; -1 for none.</summary>
    public int CutBy { get; init; } = -1;

    /// <summary>Index of the part concerned; -1 for none.</summary>
    public int Part { get; init; } = -1;

    /// <summary>Name of the terminal concerned, or null.</summary>
    public string? Terminal { get; init; }

    /// <summary>A line, or single places; empty where <see cref="Area"/> tells it.</summary>
    public IReadOnlyList<Point> Path { get; init; } = [];

    public Region? Area { get; init; }

    public double? LengthMeters { get; init; }

    public double? WidthMeters { get; init; }

    public double? JumpKelvin { get; init; }

    /// <summary>Heat on the way concerned.</summary>
    public double? Watts { get; init; }

    /// <summary>What the part would cool by if this were mended; null where it is less than the grid's error, or nothing is to be mended.</summary>
    public double? GainKelvin { get; init; }

    /// <summary>A second solve on the answer's grid, with the edit made, gave the gain.</summary>
    public bool Checked { get; init; }

    /// <summary>For a layout engineer.</summary>
    public required string Text { get; init; }
}

public enum EditKind
{
    CloseGap,
    GrowPour,
    AddVias,
}

/// <summary>An edit of the layout that cools a part.</summary>
/// <param name="Kind">Of edit.</param>
/// <param name="Part">Index of the part that it cools most.</param>
/// <param name="Layer">Index; -1 for vias.</param>
/// <param name="Net">Index; -1 for none.</param>
/// <param name="GainKelvin">Of the part.</param>
/// <param name="Checked">By a second solve on the answer's grid.</param>
/// <param name="AddedCopperSquareMeters">Put where the net had none, over all layers.</param>
/// <param name="Edit">What it adds to the board.</param>
/// <param name="Reroute">Indices of nets whose tracks it takes off the layer: they must be led another way.</param>
/// <param name="Text">For a layout engineer.</param>
public sealed record SuggestedEdit(
    EditKind Kind, int Part, int Layer, int Net, double GainKelvin, bool Checked, double AddedCopperSquareMeters, BoardEdit Edit, IReadOnlyList<int> Reroute, string Text);
