namespace HeatSpread.Boards;

/// <summary>Two edges that cross. An edge bears the number of the position it starts at.</summary>
internal readonly record struct RingCrossing(int RingA, int EdgeA, int RingB, int EdgeB, Point At);

/// <summary>
/// Sweeps a line over rings to find a place where they cross, and in which ring each lies, in O(n log n) whatever their shape
/// (Shamos and Hoey, "Geometric intersection problems", 1976, with touching allowed). Rings may touch themselves and each other at points and along
/// lines; what crosses by less than the tolerance touches, but for chains that meet at exactly one point, where their directions decide, and for a tangle of many
/// edges. Holds scratch memory: not for use by two threads at once.
/// </summary>
internal sealed class RingSweep
{
    private const int Outside = -1, Unknown = -2;

    /// <summary>Exchanges of edges that cross within the tolerance before a tangle is refused as a crossing: some for few vertices, as a narrow strip turned over has as many as pairs, and some for each.</summary>
    private const int LeastExchanges = 10_000, ExchangesOfVertex = 16;

    /// <summary>Edges through one vertex that are looked at; of more, which can only be one line run along again and again, the rest is not.</summary>
    private const int MostEdgesThrough = 64;

    private readonly SweepOrder _active = new();
    private readonly double _tolerance;
    private readonly RingContacts _contacts;
    private readonly Func<int, int, bool> _isAbove;
    private readonly ShallowCrossings _shallow = new();
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
        _shallow.Clear();
        _exchangesLeft = LeastExchanges + ((long)ExchangesOfVertex * _vertices.Count);
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
        if (ExchangeUpTo(here[0]) is { } onTheWay) return onTheWay;
        if (here.Length > 1 && _contacts.CrossingAtPoint(here) is { } atPoint) return atPoint;
        bool anyEnds = false;
        foreach (int v in here) anyEnds |= _vertices.Upper(v) == v || _vertices.Upper(_vertices.Previous(v)) == v;
        if (anyEnds && CrossingThroughEdge(here, ending: true) is { } amongEnding) return amongEnding;
        foreach (int v in here)
        {
            if (End(_vertices.Previous(v), v) is { } before) return before;
            if (End(v, v) is { } after) return after;
        }
        if (ExchangeUpTo(here[0]) is { } throughHere) return throughHere; // those that only what ended here kept apart
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
        if (!anyEnds && CrossingThroughEdge(here, ending: false) is { } amongStarting) return amongStarting;
        FindContainers(here);
        return null;
    }

    /// <summary>
    /// Where a chain crosses an edge at a vertex of its own, which the edge passes exactly through. The look at neighbours misses it if chains that
    /// touch there lie between the two on both sides.
    /// </summary>
    /// <param name="here">All visits of one point.</param>
    /// <param name="ending">Whether edges that end here are in the order, or those that start here.</param>
    private RingCrossing? CrossingThroughEdge(ReadOnlySpan<int> here, bool ending)
    {
        if (here.Length < 3) return null;
        var through = new HashSet<int>();
        foreach (int v in here)
        {
            foreach (int edge in (ReadOnlySpan<int>)[_vertices.Previous(v), v])
            {
                if ((ending ? _vertices.Upper(edge) : _vertices.Lower(edge)) != v) continue;
                for (int other = _active.Before(edge); Passes(other, v) && through.Count < MostEdgesThrough && through.Add(other);) other = _active.Before(other);
                for (int other = _active.After(edge); Passes(other, v) && through.Count < MostEdgesThrough && through.Add(other);) other = _active.After(other);
            }
        }

        foreach (int edge in through)
        {
            foreach (int v in here)
                if ((_contacts.Crossing(edge, _vertices.Previous(v)) ?? _contacts.Crossing(edge, v)) is { } crossing) return crossing;
        }
        return null;
    }

    /// <summary>Whether an edge that the line cuts leads through a point of the line and neither ends nor starts there.</summary>
    private bool Passes(int edge, int vertex)
    {
        if (edge < 0) return false;
        Point a = _vertices.At(_vertices.Lower(edge)), b = _vertices.At(_vertices.Upper(edge)), p = _vertices.At(vertex);
        return a != p && b != p && Orientation.Of(a, b, p) == 0;
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

    /// <summary>Looks at edges that have become neighbours. Those that will cross, by less than the tolerance, are to change places there.</summary>
    private RingCrossing? Meet(int below, int above)
    {
        if (below < 0 || above < 0) return null;
        if (_contacts.Crossing(below, above) is { } crossing) return crossing;
        if (_contacts.WillCross(below, above)) _shallow.Add(_vertices, below, above);
        return null;
    }

    /// <summary>Exchanges the edges that cross, by less than the tolerance, no later than the line comes to a vertex.</summary>
    private RingCrossing? ExchangeUpTo(int vertex)
    {
        if (_shallow.IsEmpty) return null;
        var here = _vertices.OnLattice(vertex);
        while (_shallow.TryTakeUpTo(here, out var pair))
        {
            var (below, above) = pair;
            if (_active.After(below) != above) continue; // changed places already, or will meet again once what is between them has gone
            if (_exchangesLeft-- == 0) return _contacts.Tangle(below, above);
            _active.Remove(below);
            _active.InsertAfter(below, above);
            if (Meet(_active.Before(above), above) is { } lower) return lower;
            if (Meet(below, _active.After(below)) is { } upper) return upper;
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
