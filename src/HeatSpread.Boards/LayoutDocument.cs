namespace HeatSpread.Boards;

/// <summary>
/// A layout as it is written: the shape of the posted JSON, in layout units, names not yet resolved. It comes from
/// <see cref="LayoutReader"/> or from fabrication files; <see cref="LayoutWriter"/> writes it as canonical JSON, and
/// <see cref="BoardBuilder"/> makes a <see cref="Board"/> of it.
/// </summary>
public sealed record LayoutDocument
{
    public string Name { get; init; } = "";

    public string Revision { get; init; } = "";

    /// <summary><c>mm</c> or <c>inch</c>: the unit of every length in the plan.</summary>
    public string Unit { get; init; } = "mm";

    public required Region Outline { get; init; }

    public IReadOnlyDictionary<string, MaterialDocument> Materials { get; init; } = new Dictionary<string, MaterialDocument>();

    public required IReadOnlyList<StackRowDocument> Stack { get; init; }

    public IReadOnlyList<NetDocument> Nets { get; init; } = [];

    public IReadOnlyList<CopperDocument> Copper { get; init; } = [];

    public IReadOnlyList<ViaDocument> Vias { get; init; } = [];

    public IReadOnlyList<PartDocument> Parts { get; init; } = [];

    public IReadOnlyList<ProbeDocument> Probes { get; init; } = [];
}

/// <summary>A row of the stack. <c>Material</c> or <c>Conductivity</c>, or neither for the kind's default.</summary>
public sealed record StackRowDocument
{
    /// <summary><c>mask</c>, <c>copper</c> or <c>dielectric</c>.</summary>
    public required string Kind { get; init; }

    public string? Name { get; init; }

    public required double ThicknessUm { get; init; }

    public string? Material { get; init; }

    /// <summary>Of a mask or dielectric row.</summary>
    public Conductivity? Conductivity { get; init; }

    /// <summary>Of the copper of a copper row, W/(m·K).</summary>
    public double? CopperConductivity { get; init; }

    /// <summary>Material where a copper row has no copper.</summary>
    public string? Between { get; init; }
}

public sealed record NetDocument(string Name, IReadOnlyList<string> KeepApartFrom, bool FixedArea);

public sealed record TrackDocument(IReadOnlyList<Point> Path, double Width);

public sealed record CopperDocument
{
    public required string Layer { get; init; }

    public string? Net { get; init; }

    public bool Clear { get; init; }

    public Region? Area { get; init; }

    public TrackDocument? Track { get; init; }

    public double Clearance { get; init; }
}

public sealed record ViaArrayDocument(Point Origin, int Columns, int Rows, double PitchX, double PitchY);

public sealed record ViaDocument
{
    public string? Net { get; init; }

    public string? From { get; init; }

    public string? To { get; init; }

    public required double Drill { get; init; }

    /// <summary>Default 25 µm; 0 for an unplated hole.</summary>
    public double PlatingUm { get; init; } = 25;

    public double? PlatingConductivity { get; init; }

    /// <summary><c>none</c>, <c>resin</c> or <c>copper</c>; null where <see cref="FillConductivity"/> is given.</summary>
    public string? Fill { get; init; } = "none";

    public double? FillConductivity { get; init; }

    public double Pad { get; init; }

    public double Clearance { get; init; }

    public IReadOnlyList<Point>? At { get; init; }

    public ViaArrayDocument? Array { get; init; }
}

public sealed record TerminalDocument(string Name, string? Net, Region Pad)
{
    /// <summary><c>top</c>, <c>bottom</c> or <c>both</c>; null: the part's side.</summary>
    public string? Side { get; init; }
}

public sealed record LinkDocument(string From, string To, double KelvinPerWatt);

public sealed record NetworkDocument(IReadOnlyList<string> Nodes, IReadOnlyList<LinkDocument> Links, IReadOnlyDictionary<string, double> HeatAt);

public sealed record PartDocument
{
    public required string Id { get; init; }

    public string Kind { get; init; } = "";

    /// <summary><c>top</c> or <c>bottom</c>.</summary>
    public string Side { get; init; } = "top";

    public Region? Body { get; init; }

    public IReadOnlyList<TerminalDocument> Terminals { get; init; } = [];

    public double Watts { get; init; }

    public double? LimitCelsius { get; init; }

    public NetworkDocument? Network { get; init; }
}

public sealed record ProbeDocument(string Name, string Layer, Point At);
