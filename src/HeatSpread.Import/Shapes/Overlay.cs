using NetTopologySuite;
using NetTopologySuite.Geometries;
using NetTopologySuite.Geometries.Implementation;
using NetTopologySuite.Operation.Overlay;
using NetTopologySuite.Operation.OverlayNG;
using Point = HeatSpread.Boards.Point;
using Polygon = HeatSpread.Boards.Polygon;

namespace HeatSpread.Import.Shapes;

/// <summary>Union, difference and intersection of polygons in mm, on a grid of one nanometre so that results stay valid when written.</summary>
internal static class Overlay
{
    /// <summary>mm²; a ring that encloses no more is left out: layouts take it for one without area.</summary>
    internal const double LeastArea = 2e-6;

    internal static PrecisionModel Nanometers { get; } = new(1e6);

    internal static GeometryFactory Factory { get; } = new NtsGeometryServices(
        CoordinateArraySequenceFactory.Instance, Nanometers, 0, GeometryOverlay.NG, new CoordinateEqualityComparer()).CreateGeometryFactory();

    public static IReadOnlyList<Polygon> Union(IEnumerable<Polygon> polygons)
    {
        Geometry[] parts = [.. polygons.Select(ToNts)];
        if (parts.Length == 0) return [];
        return FromNts(UnaryUnionNG.Union((Geometry)Factory.CreateGeometryCollection(parts), Nanometers));
    }

    public static IReadOnlyList<Polygon> Difference(IReadOnlyList<Polygon> from, IReadOnlyList<Polygon> taken) =>
        from.Count == 0 || taken.Count == 0 ? from : Combine(from, taken, SpatialFunction.Difference);

    public static IReadOnlyList<Polygon> Intersection(IReadOnlyList<Polygon> one, IReadOnlyList<Polygon> other) =>
        one.Count == 0 || other.Count == 0 ? [] : Combine(one, other, SpatialFunction.Intersection);

    /// <summary>Keeps polygons only: an overlay may leave points and lines where shapes touch.</summary>
    public static IReadOnlyList<Polygon> FromNts(Geometry geometry)
    {
        var result = new List<Polygon>();
        for (int i = 0; i < geometry.NumGeometries; i++)
        {
            var part = geometry.GetGeometryN(i);
            if (part is NetTopologySuite.Geometries.Polygon { IsEmpty: false } polygon) Add(FromNts(polygon), result);
            else if (part is GeometryCollection { IsEmpty: false } collection) result.AddRange(FromNts(collection));
        }
        return result;
    }

    private static void Add(Polygon polygon, List<Polygon> result)
    {
        if (Math.Abs(Polygon.SignedArea(polygon.Outer)) <= LeastArea) return;
        bool allCount = polygon.Holes.All(hole => Math.Abs(Polygon.SignedArea(hole)) > LeastArea);
        result.Add(allCount ? polygon : new Polygon(polygon.Outer, [.. polygon.Holes.Where(hole => Math.Abs(Polygon.SignedArea(hole)) > LeastArea)]));
    }

    private static Polygon FromNts(NetTopologySuite.Geometries.Polygon polygon) =>
        new(Ring(polygon.ExteriorRing.Coordinates), [.. polygon.InteriorRings.Select(r => Ring(r.Coordinates))]);

    public static NetTopologySuite.Geometries.Polygon ToNts(Polygon polygon) =>
        Factory.CreatePolygon(Factory.CreateLinearRing(Closed(polygon.Outer)), [.. polygon.Holes.Select(h => Factory.CreateLinearRing(Closed(h)))]);

    internal static Coordinate[] Closed(IReadOnlyList<Point> ring)
    {
        var coordinates = new Coordinate[ring.Count + 1];
        for (int i = 0; i < ring.Count; i++) coordinates[i] = new Coordinate(ring[i].X, ring[i].Y);
        coordinates[^1] = coordinates[0].Copy();
        return coordinates;
    }

    private static IReadOnlyList<Polygon> Combine(IReadOnlyList<Polygon> one, IReadOnlyList<Polygon> other, SpatialFunction function)
    {
        var a = UnaryUnionNG.Union((Geometry)Factory.CreateGeometryCollection([.. one.Select(ToNts)]), Nanometers);
        var b = UnaryUnionNG.Union((Geometry)Factory.CreateGeometryCollection([.. other.Select(ToNts)]), Nanometers);
        return FromNts(OverlayNG.Overlay(a, b, function, Nanometers));
    }

    private static Point[] Ring(Coordinate[] closed)
    {
        var ring = new Point[closed.Length - 1];
        for (int i = 0; i < ring.Length; i++) ring[i] = new Point(Lengths.Round(closed[i].X), Lengths.Round(closed[i].Y));
        return ring;
    }
}
