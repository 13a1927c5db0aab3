namespace HeatSpread.Boards;

/// <summary>
/// The description that accompanies fabrication files: a layout without copper and vias, in which the outline may be left out and a part
/// may name only its id and watts. Read by <see cref="LayoutReader.ReadDescription"/>.
/// </summary>
public sealed record FabricationDescription
{
    public string Name { get; init; } = "";

    public string Revision { get; init; } = "";

    /// <summary><c>mm</c> or <c>inch</c>, of this description's own plan lengths (files state theirs).</summary>
    public string Unit { get; init; } = "mm";

    /// <summary>Null: from a profile file.</summary>
    public Region? Outline { get; init; }

    public IReadOnlyDictionary<string, MaterialDocument> Materials { get; init; } = new Dictionary<string, MaterialDocument>();

    /// <summary>Null: not given.</summary>
    public IReadOnlyList<StackRowDocument>? Stack { get; init; }

    public IReadOnlyList<NetDocument> Nets { get; init; } = [];

    /// <summary>Parts as written; <see cref="PartDocument.Body"/> null and no terminals where the files must give them.</summary>
    public IReadOnlyList<PartDocument> Parts { get; init; } = [];

    public IReadOnlyList<ProbeDocument> Probes { get; init; } = [];

    public IReadOnlyList<FileRoleDocument> Files { get; init; } = [];
}

/// <summary>What a file is, said by the user: exactly one of layer, drill and profile.</summary>
public sealed record FileRoleDocument
{
    public required string File { get; init; }

    public string? Layer { get; init; }

    public DrillRoleDocument? Drill { get; init; }

    public bool Profile { get; init; }
}

/// <param name="From">Upper copper layer; null: the first.</param>
/// <param name="To">Lower copper layer; null: the last.</param>
/// <param name="Plated">Null: as the file says.</param>
public sealed record DrillRoleDocument(string? From, string? To, bool? Plated);
