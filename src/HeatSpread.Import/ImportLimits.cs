namespace HeatSpread.Import;

/// <summary>Bounds on what an import may read and make, so that a hostile file ends in a fault and not in exhausted memory.</summary>
public sealed record ImportLimits
{
    /// <summary>Files after ZIPs are opened.</summary>
    public int MaxFiles { get; init; } = 300;

    /// <summary>Bytes of one file, unpacked.</summary>
    public long MaxFileBytes { get; init; } = 128L << 20;

    /// <summary>Bytes of all files together, unpacked.</summary>
    public long MaxTotalBytes { get; init; } = 512L << 20;

    /// <summary>Unpacked bytes of a ZIP entry over its packed ones; only entries over 1 MiB are judged.</summary>
    public int MaxCompressionRatio { get; init; } = 200;

    /// <summary>Painted objects of one file, after step and repeat and block apertures are expanded.</summary>
    public int MaxObjects { get; init; } = 500_000;

    /// <summary>Points of one file's objects, after expansion.</summary>
    public int MaxPoints { get; init; } = 10_000_000;

    /// <summary>Depth of block apertures within block apertures, and of brackets in macro expressions.</summary>
    public int MaxNesting { get; init; } = 32;

    /// <summary>Crossings of one contour with itself that are repaired.</summary>
    public int MaxCrossings { get; init; } = 200_000;

    /// <summary>
    /// Looks at a shape under another's edge while nets are traced, on all layers together; a nanosecond or two each. A million tracks with clearances need some
    /// ten million; thousands of shapes on each other under thousands of clearing ones have no end.
    /// </summary>
    public long MaxOverlapSteps { get; init; } = 2_000_000_000;

    /// <summary>Holes and slots of one drill file, after repeats.</summary>
    public int MaxHoles { get; init; } = 500_000;
}
