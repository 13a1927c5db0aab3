using System.Numerics;

namespace HeatSpread.Boards;

/// <summary>
/// The vertices of several rings in one numbering, repeated points left out. Edge number v runs from vertex v to the next of its ring.
/// Vertices are ordered by x, then by y. Points are put on a lattice, far finer than any tolerance, on which the predicates are exact.
/// </summary>
internal sealed class RingVertices
{
    private readonly Point[] _points;
    private readonly int[] _next, _previous, _ring, _source;
    private readonly bool[] _isCounterClockwise;
    private readonly double _lattice;

    public RingVertices()
        : this([], 1)
    {
    }

    /// <param name="rings">Open rings.</param>
    /// <param name="tolerance">The lattice is about a millionth of it.</param>
    public RingVertices(IReadOnlyList<IReadOnlyList<Point>> rings, double tolerance)
    {
        _lattice = Math.ScaleB(1, Math.ILogB(tolerance) - 20);
        int capacity = rings.Sum(ring => ring.Count);
        (_points, _next, _previous, _ring, _source) = (new Point[capacity], new int[capacity], new int[capacity], new int[capacity], new int[capacity]);
        _isCounterClockwise = [.. rings.Select(ring => Polygon.SignedArea(ring) > 0)];
        for (int i = 0; i < rings.Count; i++) Append(rings[i], i);
    }

    public int Count { get; private set; }

    public Point At(int vertex) => _points[vertex];

    /// <summary>The position in whole units of the lattice.</summary>
    public (BigInteger X, BigInteger Y) OnLattice(int vertex) => (new(_points[vertex].X / _lattice), new(_points[vertex].Y / _lattice));

    public int Next(int vertex) => _next[vertex];

    public int Previous(int vertex) => _previous[vertex];

    public int Ring(int vertex) => _ring[vertex];

    /// <summary>Index of the vertex in its ring as given.</summary>
    public int Source(int vertex) => _source[vertex];

    /// <summary>The end of an edge that comes first in order.</summary>
    public int Lower(int edge) => Compare(edge, _next[edge]) <= 0 ? edge : _next[edge];

    /// <summary>The end of an edge that comes last in order.</summary>
    public int Upper(int edge) => Compare(edge, _next[edge]) <= 0 ? _next[edge] : edge;

    /// <summary>Whether the area just above an edge is enclosed by the edge's ring.</summary>
    public bool EnclosesAbove(int edge) => Lower(edge) == edge == _isCounterClockwise[_ring[edge]];

    public int Compare(int a, int b)
    {
        int order = _points[a].X.CompareTo(_points[b].X);
        return order != 0 ? order : _points[a].Y.CompareTo(_points[b].Y);
    }

    private void Append(IReadOnlyList<Point> ring, int index)
    {
        int first = Count;
        for (int i = 0; i < ring.Count; i++)
        {
            var p = new Point(Math.Round(ring[i].X / _lattice) * _lattice, Math.Round(ring[i].Y / _lattice) * _lattice);
            if (Count > first && p == _points[Count - 1]) Count--; // the last of equal points is where the edge starts
            (_points[Count], _ring[Count], _source[Count]) = (p, index, i);
            (_previous[Count], _next[Count]) = (Count - 1, Count + 1);
            Count++;
        }
        while (Count > first + 1 && _points[Count - 1] == _points[first]) Count--;
        if (Count <= first + 1)
        {
            Count = first; // a ring of one point has no edges
            return;
        }
        _previous[first] = Count - 1;
        _next[Count - 1] = first;
    }
}
