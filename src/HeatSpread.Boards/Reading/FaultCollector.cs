namespace HeatSpread.Boards;

/// <summary>
/// Gathers the faults of one document over several passes. A value that could not be read is marked: the later passes see a stand-in
/// for it, and what they say of it, or of anything in it, is dropped. So each pass may look at every item, sound or not.
/// </summary>
public sealed class FaultCollector(int limit)
{
    private readonly HashSet<Fault> _faults = [];
    private readonly HashSet<string> _unreadable = new(StringComparer.Ordinal);
    private readonly HashSet<string> _multiPolygonsOfOne = new(StringComparer.Ordinal);
    private int _leftOut;

    public bool Any => _faults.Count > 0;

    /// <summary>Further faults are counted but not listed, so their sentences need no care.</summary>
    public bool IsFull => _faults.Count >= limit;

    public void Add(JsonPointer at, string detail)
    {
        string pointer = at.ToString();
        var fault = new Fault(pointer, detail);
        if (IsUnreadable(pointer) || _faults.Contains(fault)) return; // two passes may say the same
        if (_faults.Count < limit) _faults.Add(fault);
        else _leftOut++;
    }

    /// <summary>Adds a fault of a value that later passes cannot judge.</summary>
    public void AddUnreadable(JsonPointer at, string detail)
    {
        Add(at, detail);
        MarkUnreadable(at);
    }

    /// <summary>What later passes say of this value, or of anything in it, is dropped.</summary>
    public void MarkUnreadable(JsonPointer at) => _unreadable.Add(at.ToString());

    /// <summary>Adds a fault of an object that lacks a member.</summary>
    public void AddMissing(JsonPointer at, string key, string detail)
    {
        Add(at, detail);
        _unreadable.Add(at[key].ToString());
    }

    public bool IsUnreadable(JsonPointer at) => _unreadable.Count > 0 && IsUnreadable(at.ToString());

    /// <summary>Remembers that a region of one polygon was written as a MultiPolygon, which puts its rings one step deeper.</summary>
    public void NoteMultiPolygonOfOne(JsonPointer at) => _multiPolygonsOfOne.Add(at.ToString());

    /// <summary>Where a ring of a region stands.</summary>
    public JsonPointer RingOf(JsonPointer region, int polygons, int polygon, int ring)
    {
        bool multi = polygons > 1 || (_multiPolygonsOfOne.Count > 0 && _multiPolygonsOfOne.Contains(region.ToString()));
        var coordinates = region["coordinates"];
        return multi ? coordinates[polygon][ring] : coordinates[ring];
    }

    /// <summary>The faults in document order.</summary>
    public IReadOnlyList<Fault> Faults()
    {
        var faults = _faults.OrderBy(fault => fault.Pointer, PointerOrder.Instance).ToList();
        if (_leftOut > 0) faults.Add(new Fault("", $"{_leftOut} more faults were found; the first {limit} are listed."));
        return faults;
    }

    private bool IsUnreadable(string pointer)
    {
        if (_unreadable.Count == 0) return false;
        for (int end = pointer.Length; end >= 0; end = end == 0 ? -1 : pointer.LastIndexOf('/', end - 1))
            if (_unreadable.Contains(pointer[..end])) return true;
        return false;
    }
}
