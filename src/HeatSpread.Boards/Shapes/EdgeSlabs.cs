namespace HeatSpread.Boards;

/// <summary>The edges of one polygon, sorted into slabs of y, so that a question about a place looks at few of them.</summary>
internal sealed class EdgeSlabs
{
    private const int MostSlabs = 1024;

    private readonly Point[] _from, _to;
    private readonly int[] _firstSlab;
    private readonly int[][] _slabs;
    private readonly double _minY, _slabHeight;

    public EdgeSlabs(Polygon polygon)
    {
        _from = [.. polygon.Rings.SelectMany(ring => ring)];
        _to = [.. polygon.Rings.SelectMany(ring => ring.Skip(1).Append(ring[0]))];
        Bounds = polygon.Bounds;
        _minY = Bounds.MinY;
        double edgeHeights = _from.Zip(_to, (a, b) => Math.Abs(a.Y - b.Y)).Sum();
        // about two slabs an edge at most, also where each edge runs over the whole height
        int count = (int)Math.Clamp(2 * _from.Length * Bounds.Height / Math.Max(edgeHeights, double.Epsilon), 1, Math.Min(MostSlabs, _from.Length));
        _slabHeight = Bounds.Height > 0 ? Bounds.Height / count : 1;
        _firstSlab = [.. _from.Zip(_to, (a, b) => SlabOf(Math.Min(a.Y, b.Y), count))];
        var slabs = Enumerable.Range(0, count).Select(_ => new List<int>()).ToList();
        for (int edge = 0; edge < _from.Length; edge++)
            for (int slab = _firstSlab[edge]; slab <= SlabOf(Math.Max(_from[edge].Y, _to[edge].Y), count); slab++)
                slabs[slab].Add(edge);
        _slabs = [.. slabs.Select(slab => slab.ToArray())];
    }

    public Box Bounds { get; }

    /// <summary>Whether a ray from the point crosses the rings an odd number of times.</summary>
    public bool Encloses(Point p)
    {
        if (!(p.Y >= Bounds.MinY && p.Y <= Bounds.MaxY)) return false;
        bool inside = false;
        foreach (int edge in _slabs[SlabOf(p.Y, _slabs.Length)])
            inside ^= PointInRing.RayCrosses(p, _from[edge], _to[edge]);
        return inside;
    }

    /// <summary>Whether the point lies within a distance of the rings.</summary>
    public bool IsNear(Point p, double distance)
    {
        foreach (var (a, b) in Within(new Box(p.X, p.Y, p.X, p.Y).Grow(distance)))
            if (Orientation.Distance(p, a, b) <= distance) return true;
        return false;
    }

    /// <summary>The edges whose boxes meet a box.</summary>
    public IEnumerable<(Point From, Point To)> Within(Box box)
    {
        if (box.MaxY < Bounds.MinY || box.MinY > Bounds.MaxY) yield break;
        int first = SlabOf(box.MinY, _slabs.Length), last = SlabOf(box.MaxY, _slabs.Length);
        for (int slab = first; slab <= last; slab++)
        {
            foreach (int edge in _slabs[slab])
            {
                if (slab != Math.Max(_firstSlab[edge], first)) continue; // told once, in the first slab asked for that holds it
                var (a, b) = (_from[edge], _to[edge]);
                if (Math.Max(a.X, b.X) >= box.MinX && Math.Min(a.X, b.X) <= box.MaxX && Math.Max(a.Y, b.Y) >= box.MinY && Math.Min(a.Y, b.Y) <= box.MaxY)
                    yield return (a, b);
            }
        }
    }

    private int SlabOf(double y, int count) => (int)Math.Clamp((y - _minY) / _slabHeight, 0, count - 1);
}
