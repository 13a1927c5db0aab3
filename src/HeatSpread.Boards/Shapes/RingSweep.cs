namespace HeatSpread.Boards;

/// <summary>Two edges that cross. An edge bears the number of the position it starts at.</summary>
internal readonly record struct RingCrossing(int RingA, int EdgeA, int RingB, int EdgeB, Point At);

/// <summary>
/// Sweeps a line over rings to find a place where they cross, and in which ring each lies, in O(n log n) whatever their shape
/// (Shamos and Hoey, "Geometric intersection problems", 1976, with touching allowed). Rings may touch themselves and each other at points and along
/// lines; what crosses by less than the tolerance touches. Holds scratch memory: not for use by two threads at once.
/// </summary>
internal sealed class RingSweep
{
    private const int Outside = -1, Unknown = -2;

    private readonly SweepOrder _active = new();
    private readonly double _tolerance;
    private readonly RingContacts _contacts;
    private readonly Func<int, int, bool> _isAbove;
    private readonly Stack<(int Below, int Above)> _pending = new();
    private RingVertices _vertices = new();
    private int[] _order = [];
    private int[] _container = [];
    private long _exchangesLeft;

    public RingSweep(double tolerance)
    {
        _tolerance = tolerance;
        _contacts = new RingContacts(tolerance);
        _isAbove = IsAbove;
    }

    /// <summary>After a sweep without crossing: for each ring the one that it lies directly in the enclosed area of, or -1.</summary>
    public IReadOnlyList<int> Containers => _container;

    /// <param name="rings">Open rings of at least one point each.</param>
    /// <returns>A crossing, the first the line meets; null where there is none.</returns>
    public RingCrossing? FindCrossing(IReadOnlyList<IReadOnlyList<Point>> rings)
    {
        _vertices = new RingVertices(rings, _tolerance);
        _contacts.Use(_vertices);
        _container = new int[rings.Count];
        Array.Fill(_container, Unknown);
        _order = [.. Enumerable.Range(0, _vertices.Count)];
        Array.Sort(_order, _vertices.Compare);
        _active.Reset(_vertices.Count);
        _exchangesLeft = 1_000 + 4L * _vertices.Count;
        for (int start = 0, end; start < _order.Length; start = end)
        {
            end = start + 1;
            while (end < _order.Length && _vertices.At(_order[end]) == _vertices.At(_order[start])) end++;
            if (Pass(_order.AsSpan(start, end - start)) is { } crossing) return crossing;
        }
        return null;
    }

    /// <summary>Moves the line over all vertices at one point.</summary>
    private RingCrossing? Pass(ReadOnlySpan<int> here)
    {
        if (here.Length > 1 && _contacts.CrossingAtPoint(here) is { } atPoint) return atPoint;
        foreach (int v in here)
        {
            if (End(_vertices.Previous(v), v) is { } before) return before;
            if (End(v, v) is { } after) return after;
        }
        foreach (int v in here)
        {
            Start(_vertices.Previous(v), v);
            Start(v, v);
        }
        foreach (int v in here)
        {
            if (MeetNeighbours(_vertices.Previous(v), v) is { } before) return before;
            if (MeetNeighbours(v, v) is { } after) return after;
        }
        FindContainers(here);
        return null;
    }

    private RingCrossing? End(int edge, int vertex)
    {
        if (_vertices.Upper(edge) != vertex) return null;
        int below = _active.Before(edge), above = _active.After(edge);
        _active.Remove(edge);
        return Meet(below, above);
    }

    private void Start(int edge, int vertex)
    {
        if (_vertices.Lower(edge) == vertex) _active.Insert(edge, _isAbove);
    }

    private RingCrossing? MeetNeighbours(int edge, int vertex) =>
        _vertices.Lower(edge) == vertex ? Meet(_active.Before(edge), edge) ?? Meet(edge, _active.After(edge)) : null;

    /// <summary>
    /// Looks at edges that have become neighbours. Those in the wrong order, because they cross within the tolerance near their start, change places,
    /// and their new neighbours are looked at.
    /// </summary>
    private RingCrossing? Meet(int below, int above)
    {
        _pending.Clear();
        _pending.Push((below, above));
        while (_pending.TryPop(out var pair))
        {
            (below, above) = pair;
            if (below < 0 || above < 0 || _active.After(below) != above) continue;
            if (_contacts.Crossing(below, above) is { } crossing) return crossing;
            if (!_contacts.AreExchanged(below, above)) continue;
            if (_exchangesLeft-- == 0) return _contacts.Found(below, above, _vertices.At(_vertices.Lower(above))); // a tangle finer than the tolerance
            _active.Remove(below);
            _active.InsertAfter(below, above);
            _pending.Push((below, _active.After(below)));
            _pending.Push((_active.Before(above), above));
        }
        return null;
    }

    /// <summary>Whether an edge that starts on the line belongs above one that the line cuts.</summary>
    private bool IsAbove(int edge, int other)
    {
        Point a = _vertices.At(_vertices.Lower(other)), b = _vertices.At(_vertices.Upper(other));
        int side = Orientation.Of(a, b, _vertices.At(_vertices.Lower(edge)));
        if (side == 0) side = Orientation.Of(a, b, _vertices.At(_vertices.Upper(edge)));
        return side == 0 ? edge > other : side > 0;
    }

    /// <summary>For each ring whose first vertex this is: what lies directly below it tells what it lies in.</summary>
    private void FindContainers(ReadOnlySpan<int> here)
    {
        List<int>? lowest = null;
        foreach (int v in here)
        {
            if (_container[_vertices.Ring(v)] != Unknown) continue;
            _container[_vertices.Ring(v)] = Outside;
            int edge = _vertices.Previous(v);
            (lowest ??= []).Add(edge == v || IsAbove(edge, v) ? v : edge);
        }
        if (lowest is null) return;
        if (lowest.Count > 1) lowest.Sort((a, b) => a == b ? 0 : IsAbove(a, b) ? 1 : -1);
        foreach (int edge in lowest)
        {
            int below = _active.Before(edge), ring = _vertices.Ring(edge);
            while (below >= 0 && _vertices.Ring(below) == ring) below = _active.Before(below);
            if (below >= 0) _container[ring] = _vertices.EnclosesAbove(below) ? _vertices.Ring(below) : _container[_vertices.Ring(below)];
        }
    }
}
