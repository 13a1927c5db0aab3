using HeatSpread.Boards;

namespace HeatSpread.Thermal.Revisions;

/// <summary>What kind of thing differs between two revisions.</summary>
public enum ChangeKind
{
    CopperAdded,
    CopperRemoved,
    ViasAdded,
    ViasRemoved,
    WattsChanged,
    StackChanged,
    SurfacesChanged,
    PartChanged,
    OutlineChanged,

    /// <summary>Materials that are the same in both conduct otherwise at the other temperatures.</summary>
    ConductivityChanged,
}

/// <summary>
/// One difference between two revisions, as fine as the machine tells them apart, and what it does to each reading. What is not said of a kind is null or empty.
/// </summary>
public sealed record RevisionChange
{
    public required ChangeKind Kind { get; init; }

    /// <summary>K that each reading is hotter for it in the candidate.</summary>
    public required double[] Kelvin { get; init; }

    /// <summary>Name of the layer, or of the stack row, or of a part or a surface; of watts without one the currents in the copper make them.</summary>
    public string? Name { get; init; }

    /// <summary>Name of the net of copper or vias; null also where they have none.</summary>
    public string? Net { get; init; }

    /// <summary>Cells that a piece of copper touches, with its fine points in each: bit 8 · row + column.</summary>
    public IReadOnlyList<(int Cell, ulong Fine)> Cells { get; init; } = [];

    /// <summary>Of a piece of copper, m².</summary>
    public double Area { get; init; }

    /// <summary>Centres of vias, m.</summary>
    public IReadOnlyList<Point> At { get; init; } = [];

    /// <summary>Of vias, m: how far from a centre their pads and clearances reach.</summary>
    public double Reach { get; init; }

    /// <summary>Of a number that changed, in the baseline and in the candidate: W, °C, W/(m²·K), or the thickness of a row, m.</summary>
    public (double Before, double After)? Value { get; init; }
}
