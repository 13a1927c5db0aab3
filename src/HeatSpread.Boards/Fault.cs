namespace HeatSpread.Boards;

/// <summary>One thing that is wrong with a document.</summary>
/// <param name="Pointer">JSON Pointer (RFC 6901) into what was posted; empty for the whole document.</param>
/// <param name="Detail">A sentence that says what must hold and what was found.</param>
public sealed record Fault(string Pointer, string Detail);

/// <summary>What reading a document gave: a value, or every fault of the document.</summary>
/// <typeparam name="T">What the document becomes.</typeparam>
/// <param name="Value">Null exactly when there are faults.</param>
/// <param name="Faults">In document order; empty when the document is sound.</param>
public sealed record Reading<T>(T? Value, IReadOnlyList<Fault> Faults)
    where T : class
{
    public bool IsSound => Faults.Count == 0;
}
