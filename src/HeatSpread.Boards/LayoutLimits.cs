namespace HeatSpread.Boards;

/// <summary>How large a document may be. What exceeds a limit is a fault that names it.</summary>
public sealed record LayoutLimits
{
    public static LayoutLimits Default { get; } = new();

    /// <summary>Nesting of arrays and objects.</summary>
    public int Depth { get; init; } = 64;

    /// <summary>Positions in one ring or one track.</summary>
    public int RingVertices { get; init; } = 200_000;

    /// <summary>Positions of all rings and tracks together.</summary>
    public int Vertices { get; init; } = 4_000_000;

    public int StackRows { get; init; } = 64;

    public int Materials { get; init; } = 1_000;

    public int Nets { get; init; } = 50_000;

    public int CopperFeatures { get; init; } = 500_000;

    /// <summary>Drilled holes, those of arrays counted one by one.</summary>
    public int Holes { get; init; } = 200_000;

    public int Parts { get; init; } = 2_000;

    /// <summary>Terminals of one part.</summary>
    public int Terminals { get; init; } = 5_000;

    /// <summary>Nodes of one part's network.</summary>
    public int NetworkNodes { get; init; } = 100;

    /// <summary>Links of one part's network.</summary>
    public int NetworkLinks { get; init; } = 10_000;

    public int Probes { get; init; } = 10_000;

    public int Contacts { get; init; } = 1_000;

    public int Currents { get; init; } = 100;

    /// <summary>Terminals at either end of one current.</summary>
    public int CurrentTerminals { get; init; } = 1_000;

    /// <summary>Fabrication files whose role a description states.</summary>
    public int Files { get; init; } = 1_000;

    /// <summary>Characters of a name.</summary>
    public int NameLength { get; init; } = 200;

    /// <summary>Plan coordinates lie within plus and minus this, mm.</summary>
    public double ExtentMm { get; init; } = 10_000;

    /// <summary>Faults listed; one more says how many were left out.</summary>
    public int Faults { get; init; } = 1_000;
}
