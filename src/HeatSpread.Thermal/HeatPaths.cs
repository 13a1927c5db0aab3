namespace HeatSpread.Thermal;

/// <summary>By what a part's heat leaves it.</summary>
public enum PathKind
{
    /// <summary>Copper of the outer layer, across the edge of the cells that the part's pads touch.</summary>
    OuterCopper,

    /// <summary>Barrels in those cells, inward.</summary>
    Vias,

    /// <summary>What is not copper: inward through the laminate, or sideways past the copper.</summary>
    Laminate,

    /// <summary>Outward: mask, film, contact or rim over those cells.</summary>
    Face,

    /// <summary>Links of the part's network to ambient.</summary>
    Ambient,

    /// <summary>Less what other parts or currents put into the same cells; it leaves with the part's own heat.</summary>
    Shared,
}

/// <summary>A share of a part's heat. The paths of a part add up to its watts.</summary>
/// <param name="Kind">By what.</param>
/// <param name="Net">Of the pad that it leaves (outer copper) or of the vias: index into the board's nets; -1 for none.</param>
/// <param name="Layer">Index into the board's layers, of outer copper; else -1.</param>
/// <param name="Watts">Negative where heat comes in.</param>
public sealed record PartPath(PathKind Kind, int Net, int Layer, double Watts);

/// <summary>What vias carry between the sheets of the stack.</summary>
/// <param name="Entries">One a via group, in the board's order.</param>
/// <param name="Nets">One a net that has vias; -1 for those of no net.</param>
public sealed record ViaReadings(IReadOnlyList<ViaFlow> Entries, IReadOnlyList<NetViaFlow> Nets)
{
    /// <summary>Of a field that was not solved for.</summary>
    public static ViaReadings None { get; } = new([], []);
}

/// <param name="Count">Holes.</param>
/// <param name="Watts">Through all of them where they carry most, positive downward.</param>
/// <param name="AboveLayer">Index of the copper layer above that place; the next one is below it. -1 for vias that join nothing.</param>
public sealed record ViaFlow(int Count, double Watts, int AboveLayer);

/// <param name="Net">Index into the board's nets, or -1.</param>
/// <param name="Count">Holes.</param>
/// <param name="Watts">As <see cref="ViaFlow.Watts"/>, of all the net's vias together.</param>
public sealed record NetViaFlow(int Net, int Count, double Watts);
