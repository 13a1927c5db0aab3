namespace HeatSpread.Boards;

/// <summary>What the readers of one document share: its faults, the limits, and what has been counted against them.</summary>
public sealed class ReadingState(LayoutLimits limits)
{
    public LayoutLimits Limits { get; } = limits;

    public FaultCollector Faults { get; } = new(limits.Faults);

    private long _vertices;

    /// <summary>Counts positions; false, with a fault, once the document holds too many.</summary>
    public bool CountVertices(int count, JsonPointer at)
    {
        bool before = _vertices > Limits.Vertices;
        _vertices += count;
        if (_vertices <= Limits.Vertices) return true;
        if (!before) Faults.AddUnreadable(at, $"The document may hold at most {Limits.Vertices} positions (limit Vertices); this is where it exceeds them.");
        return false;
    }
}
