namespace HeatSpread.Boards;

/// <summary>
/// A board as the computation knows it: checked, immutable, in SI units (metres, watts, W/(m·K), degrees Celsius for temperatures).
/// Names are resolved to indices. Made by <see cref="BoardBuilder"/> from a <see cref="LayoutDocument"/>.
/// </summary>
public sealed record Board
{
    public required string Name { get; init; }

    public required string Revision { get; init; }

    /// <summary>Where there is board; openings are holes of its polygons.</summary>
    public required Region Outline { get; init; }

    /// <summary>The stack, top to bottom, at least one row.</summary>
    public required IReadOnlyList<StackRow> Rows { get; init; }

    /// <summary>The copper rows of <see cref="Rows"/>, top to bottom.</summary>
    public required IReadOnlyList<CopperLayer> Layers { get; init; }

    public required IReadOnlyList<Net> Nets { get; init; }

    /// <summary>What is painted, in order; the paint of vias follows, then that of the parts' pads.</summary>
    public required IReadOnlyList<CopperFeature> Copper { get; init; }

    public required IReadOnlyList<ViaGroup> Vias { get; init; }

    public required IReadOnlyList<Part> Parts { get; init; }

    public required IReadOnlyList<Probe> Probes { get; init; }

    /// <summary>Index of a side's outer copper layer; -1 on a board without copper.</summary>
    public int OuterLayer(BoardSide side) => Layers.Count == 0 ? -1 : side == BoardSide.Top ? 0 : Layers.Count - 1;

    /// <summary>The stack row that parts of a side stand on: that of its outer copper layer, the outermost on a board without copper.</summary>
    public int OuterRow(BoardSide side) => OuterLayer(side) is >= 0 and var layer ? Layers[layer].Row : side == BoardSide.Top ? 0 : Rows.Count - 1;

    /// <summary>The same board with more copper, painted after all there is, and more vias.</summary>
    public Board With(IReadOnlyList<CopperFeature> copper, IReadOnlyList<ViaGroup> vias) => this with { Copper = [.. Copper, .. copper], Vias = [.. Vias, .. vias] };

    /// <summary>The same board without areas: tracks, vias and pads.</summary>
    public Board WithTracksOnly() => this with { Copper = [.. Copper.Where(feature => feature.Track is not null)] };

    /// <summary>The same board with vias and pads alone.</summary>
    public Board WithoutCopper() => this with { Copper = [] };
}

public enum StackRowKind
{
    Mask,
    Copper,
    Dielectric,
}

public enum BoardSide
{
    Top,
    Bottom,
}

/// <summary>Thermal conductivity, W/(m·K), in the plane of the row and through it. Both positive.</summary>
public readonly record struct Conductivity(double InPlane, double Through);

/// <summary>One row of the stack.</summary>
public sealed record StackRow
{
    public required StackRowKind Kind { get; init; }

    /// <summary>The document's name for it; a copper row always has one.</summary>
    public string? Name { get; init; }

    /// <summary>Metres, positive.</summary>
    public required double Thickness { get; init; }

    /// <summary>Of the row's material; in a copper row of the stuff where there is no copper.</summary>
    public required Conductivity Fill { get; init; }

    /// <summary>Of the copper in a copper row, W/(m·K); 0 in other rows.</summary>
    public double CopperConductivity { get; init; }

    /// <summary>Of the row's material, J/(m³·K); in a copper row of the stuff where there is no copper. Positive.</summary>
    public double FillHeatCapacity { get; init; } = Materials.Find("fr4")!.JoulesPerCubicMeterKelvin;

    /// <summary>Of the copper in a copper row, J/(m³·K).</summary>
    public double CopperHeatCapacity { get; init; } = Materials.Find("copper")!.JoulesPerCubicMeterKelvin;

    /// <summary>A heat capacity of the row is that of a usual laminate or copper, because its own was not given.</summary>
    public bool HasUsualHeatCapacity { get; init; }

    /// <summary>How <see cref="Fill"/> depends on temperature; null: not.</summary>
    public ConductivityCurve? FillCurve { get; init; }

    /// <summary>How <see cref="CopperConductivity"/> depends on temperature (by the curve's values in the plane); null: not.</summary>
    public ConductivityCurve? CopperCurve { get; init; }

    /// <summary>Where <see cref="Fill"/> holds; null: not said.</summary>
    public TemperatureRange? FillRange { get; init; }

    /// <summary>Where <see cref="CopperConductivity"/> holds; null: not said.</summary>
    public TemperatureRange? CopperRange { get; init; }
}

/// <param name="Name">Unique among layers.</param>
/// <param name="Row">Index into <see cref="Board.Rows"/>.</param>
public sealed record CopperLayer(string Name, int Row);

/// <param name="Name">Unique.</param>
/// <param name="KeepApartFrom">Indices of nets that no suggested edit may join with this one.</param>
/// <param name="FixedArea">Copper of this net may not grow.</param>
public sealed record Net(string Name, IReadOnlyList<int> KeepApartFrom, bool FixedArea);

/// <summary>
/// One act of painting on a copper layer: an area or a track, of copper or of its removal.
/// </summary>
public sealed record CopperFeature
{
    /// <summary>Index into <see cref="Board.Layers"/>.</summary>
    public required int Layer { get; init; }

    /// <summary>Index into <see cref="Board.Nets"/>, or -1 for copper of no net (which is no other copper's net either).</summary>
    public required int Net { get; init; }

    /// <summary>Takes away what was painted before it on that layer.</summary>
    public bool IsClear { get; init; }

    /// <summary>Area or track: exactly one of the two is not null.</summary>
    public Region? Area { get; init; }

    public Track? Track { get; init; }

    /// <summary>Metres; other nets' copper within this distance is cleared first (round corners). 0: none.</summary>
    public double Clearance { get; init; }
}

/// <summary>A line of round ends along a path of at least one point; one point alone is a disc.</summary>
/// <param name="Path">Metres.</param>
/// <param name="Width">Metres, positive.</param>
public sealed record Track(IReadOnlyList<Point> Path, double Width);

/// <summary>Plated holes (or unplated ones: <see cref="Plating"/> 0) of one kind.</summary>
public sealed record ViaGroup
{
    /// <summary>Index into <see cref="Board.Nets"/>, or -1.</summary>
    public required int Net { get; init; }

    /// <summary>Index into <see cref="Board.Layers"/> of the uppermost layer joined.</summary>
    public required int FromLayer { get; init; }

    /// <summary>Index into <see cref="Board.Layers"/> of the lowest layer joined, at least <see cref="FromLayer"/>.</summary>
    public required int ToLayer { get; init; }

    /// <summary>Diameter of the drilled hole, m. Plating lies inside it.</summary>
    public required double Drill { get; init; }

    /// <summary>Thickness of the plating, m; 0 for an unplated hole.</summary>
    public required double Plating { get; init; }

    /// <summary>W/(m·K).</summary>
    public required double PlatingConductivity { get; init; }

    /// <summary>W/(m·K); 0 where the hole is empty.</summary>
    public required double FillConductivity { get; init; }

    /// <summary>Diameter of the via's own copper on the layers it joins, m; 0: none.</summary>
    public double Pad { get; init; }

    /// <summary>Other nets' copper within this distance of the hole's edge is cleared, m; 0: none.</summary>
    public double Clearance { get; init; }

    /// <summary>Centres, m.</summary>
    public required IReadOnlyList<Point> At { get; init; }

    /// <summary>Cross-section of the plating, m².</summary>
    public double PlatingArea
    {
        get
        {
            double outer = Drill / 2, inner = Math.Max(0, outer - Plating);
            return Math.PI * (outer * outer - inner * inner);
        }
    }

    /// <summary>Cross-section of what is inside the plating, m².</summary>
    public double FillArea
    {
        get
        {
            double inner = Math.Max(0, Drill / 2 - Plating);
            return Math.PI * inner * inner;
        }
    }
}

public sealed record Part
{
    public required string Id { get; init; }

    public required string Kind { get; init; }

    public required BoardSide Side { get; init; }

    /// <summary>Null where the document gives none (terminals then exist).</summary>
    public Region? Body { get; init; }

    public required IReadOnlyList<Terminal> Terminals { get; init; }

    public required double Watts { get; init; }

    public double? LimitCelsius { get; init; }

    /// <summary>Null: the watts go evenly over the pads (over the body where there is no terminal).</summary>
    public PartNetwork? Network { get; init; }

    /// <summary>The sides on which a terminal of this part has its pad.</summary>
    public IReadOnlyList<BoardSide> SidesOf(Terminal terminal)
    {
        ArgumentNullException.ThrowIfNull(terminal);
        return terminal.Sides ?? [Side];
    }
}

/// <param name="Name">Unique in the part.</param>
/// <param name="Net">Index into <see cref="Board.Nets"/>, or -1.</param>
/// <param name="Pad">In the outer copper layers of <see cref="Part.SidesOf"/>; it is copper.</param>
public sealed record Terminal(string Name, int Net, Region Pad)
{
    /// <summary>Where the pad lies; null: on the part's side. Both for a pin in a hole, whose barrel is a via of its own.</summary>
    public IReadOnlyList<BoardSide>? Sides { get; init; }
}

/// <summary>A part's inner thermal resistances.</summary>
/// <param name="Nodes">Names, unique.</param>
/// <param name="Links">Between a node and something.</param>
/// <param name="HeatShares">One for each node, adding up to 1.</param>
public sealed record PartNetwork(IReadOnlyList<string> Nodes, IReadOnlyList<PartLink> Links, IReadOnlyList<double> HeatShares);

public enum PartLinkTarget
{
    Node,
    Terminal,

    /// <summary>The board under the body.</summary>
    Board,
    Ambient,
}

/// <param name="FromNode">Index into <see cref="PartNetwork.Nodes"/>.</param>
/// <param name="Target">What the link leads to.</param>
/// <param name="TargetIndex">Of the node or terminal; -1 for board and ambient.</param>
/// <param name="KelvinPerWatt">Positive.</param>
public sealed record PartLink(int FromNode, PartLinkTarget Target, int TargetIndex, double KelvinPerWatt);

/// <param name="Name">Unique.</param>
/// <param name="Layer">Index into <see cref="Board.Layers"/>.</param>
/// <param name="At">Metres, inside the outline.</param>
public sealed record Probe(string Name, int Layer, Point At);
