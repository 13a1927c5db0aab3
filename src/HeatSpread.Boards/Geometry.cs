namespace HeatSpread.Boards;

/// <summary>A place in the plan of the board. x to the right, y up, the board seen from the top on every layer.</summary>
/// <param name="X">Metres in a <see cref="Board"/>, layout units in a <see cref="LayoutDocument"/>.</param>
/// <param name="Y">As <paramref name="X"/>.</param>
public readonly record struct Point(double X, double Y);

/// <summary>An axis-parallel box, in the unit of its points.</summary>
public readonly record struct Box(double MinX, double MinY, double MaxX, double MaxY)
{
    /// <summary>The box that holds nothing; <see cref="Include(Point)"/> makes it grow.</summary>
    public static Box Empty { get; } = new(double.PositiveInfinity, double.PositiveInfinity, double.NegativeInfinity, double.NegativeInfinity);

    public double Width => MaxX - MinX;

    public double Height => MaxY - MinY;

    public Point Centre => new((MinX + MaxX) / 2, (MinY + MaxY) / 2);

    /// <summary>Its border is of it.</summary>
    public bool Holds(Point p) => p.X >= MinX && p.X <= MaxX && p.Y >= MinY && p.Y <= MaxY;

    public Box Include(Point p) => new(Math.Min(MinX, p.X), Math.Min(MinY, p.Y), Math.Max(MaxX, p.X), Math.Max(MaxY, p.Y));

    public Box Include(Box other) => new(Math.Min(MinX, other.MinX), Math.Min(MinY, other.MinY), Math.Max(MaxX, other.MaxX), Math.Max(MaxY, other.MaxY));

    /// <summary>The two share an area, not an edge alone.</summary>
    public bool Overlaps(Box other) => MinX < other.MaxX && other.MinX < MaxX && MinY < other.MaxY && other.MinY < MaxY;

    public Box Grow(double distance) => new(MinX - distance, MinY - distance, MaxX + distance, MaxY + distance);
}

/// <summary>
/// One polygon: an outer ring and any number of holes. Rings are open (the first point is not repeated), of either direction,
/// at least three points each. A point is inside when a ray from it crosses the rings an odd number of times.
/// </summary>
public sealed class Polygon
{
    public Polygon(IReadOnlyList<Point> outer, IReadOnlyList<IReadOnlyList<Point>>? holes = null)
    {
        ArgumentNullException.ThrowIfNull(outer);
        Outer = outer;
        Holes = holes ?? [];
    }

    public IReadOnlyList<Point> Outer { get; }

    public IReadOnlyList<IReadOnlyList<Point>> Holes { get; }

    /// <summary>The outer ring, then the holes.</summary>
    public IEnumerable<IReadOnlyList<Point>> Rings => Holes.Prepend(Outer);

    /// <summary>Enclosed area in the square of the points' unit, holes taken off.</summary>
    public double Area => Math.Abs(SignedArea(Outer)) - Holes.Sum(hole => Math.Abs(SignedArea(hole)));

    public Box Bounds => Outer.Aggregate(Box.Empty, (box, p) => box.Include(p));

    /// <summary>The shoelace sum of a ring: positive where it runs counter-clockwise.</summary>
    public static double SignedArea(IReadOnlyList<Point> ring)
    {
        ArgumentNullException.ThrowIfNull(ring);
        if (ring.Count == 0) return 0;
        var origin = ring[0]; // far from zero the products would cancel
        double twice = 0;
        for (int i = 1; i + 1 < ring.Count; i++)
        {
            var (a, b) = (ring[i], ring[i + 1]);
            twice += (a.X - origin.X) * (b.Y - origin.Y) - (b.X - origin.X) * (a.Y - origin.Y);
        }
        return twice / 2;
    }
}

/// <summary>The union of polygons, which may overlap.</summary>
public sealed class Region
{
    public Region(IReadOnlyList<Polygon> polygons)
    {
        ArgumentNullException.ThrowIfNull(polygons);
        Polygons = polygons;
    }

    public IReadOnlyList<Polygon> Polygons { get; }

    public Box Bounds => Polygons.Aggregate(Box.Empty, (box, polygon) => box.Include(polygon.Bounds));

    /// <summary>Every point's place changed by <paramref name="map"/>.</summary>
    public Region Map(Func<Point, Point> map)
    {
        ArgumentNullException.ThrowIfNull(map);
        IReadOnlyList<Point> Ring(IReadOnlyList<Point> ring) => [.. ring.Select(map)];
        return new Region([.. Polygons.Select(p => new Polygon(Ring(p.Outer), [.. p.Holes.Select(Ring)]))]);
    }
}
