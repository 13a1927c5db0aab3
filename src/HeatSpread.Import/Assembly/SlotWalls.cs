using HeatSpread.Import.Gerber;
using HeatSpread.Import.Shapes;
using NetTopologySuite.Geometries;
using NetTopologySuite.Operation.Buffer;
using Point = HeatSpread.Boards.Point;
using Polygon = HeatSpread.Boards.Polygon;

namespace HeatSpread.Import.Assembly;

/// <summary>Slots by their walls: where they lie, and the row of small barrels that conducts as a plated wall does.</summary>
internal static class SlotWalls
{
    private const double BarrelDrill = 0.1;
    private const int MaxBarrels = 5000;

    /// <summary>The area that a tool cuts along a path, with what it cuts around and so cuts free. Null where there is none.</summary>
    /// <param name="path">Centre line, mm.</param>
    /// <param name="diameter">Of the tool, mm.</param>
    public static Polygon? Outline(IReadOnlyList<Point> path, double diameter) =>
        diameter > 0 && Overlay.Union(Aperture.Polygons(new StrokeShape(path, diameter))).MaxBy(p => p.Area) is { } cut ? new Polygon(cut.Outer) : null;

    /// <summary>
    /// Barrels along the inside of a wall, evenly spaced, whose plating has together the cross-section of the wall's own plating: of a wall of length P
    /// that turns once around, a plating t has the section P·t − π·t² (Steiner's formula for parallel curves).
    /// </summary>
    /// <param name="hole">A slot.</param>
    /// <param name="platingUm">Of the wall.</param>
    public static (IReadOnlyList<Point> At, double Drill, double PlatingUm) Barrels(BoardHole hole, double platingUm)
    {
        double t = platingUm / 1000;
        var solid = Overlay.Factory.CreatePolygon(Overlay.ToNts(hole.Outline!).ExteriorRing.Coordinates);
        bool isStraight = hole is { Diameter: > 0, Path.Count: 2 };
        double length = isStraight ? 2 * Arcs.Distance(hole.Path[0], hole.Path[1]) + Math.PI * hole.Diameter : solid.Length;
        double plated = length * t - Math.PI * t * t;
        var inset = solid.Buffer(-BarrelDrill / 2, Rounded);
        double drill = inset.IsEmpty ? Math.Max(2 * t, 0.05) : BarrelDrill;
        var ring = inset.IsEmpty ? solid.ExteriorRing : Largest(inset).ExteriorRing;
        int count = (int)Math.Clamp(Math.Round(plated / (Math.PI * (drill * t - t * t))), 3, MaxBarrels);
        double root = Math.Max(0, drill * drill - 4 * plated / (count * Math.PI));
        return (Along(ring, count), drill, Math.Round((drill - Math.Sqrt(root)) / 2 * 1000, 3));
    }

    /// <summary>Places just outside a wall, where its copper is.</summary>
    public static IEnumerable<Point> Rim(Polygon slot, double distance)
    {
        var wider = Overlay.Factory.CreatePolygon(Overlay.ToNts(slot).ExteriorRing.Coordinates).Buffer(distance, Rounded);
        return Along(Largest(wider).ExteriorRing, (int)Math.Clamp(wider.Length / 0.1, 12, 400));
    }

    private static BufferParameters Rounded { get; } = new(16);

    private static NetTopologySuite.Geometries.Polygon Largest(Geometry geometry) =>
        Enumerable.Range(0, geometry.NumGeometries).Select(geometry.GetGeometryN).OfType<NetTopologySuite.Geometries.Polygon>().MaxBy(p => p.Area)!;

    private static List<Point> Along(LineString ring, int count)
    {
        var places = new List<Point>(count);
        double step = ring.Length / count, next = step / 2, passed = 0;
        for (int i = 1; i < ring.NumPoints; i++)
        {
            var (a, b) = (ring.GetCoordinateN(i - 1), ring.GetCoordinateN(i));
            double piece = a.Distance(b);
            for (; next <= passed + piece && places.Count < count; next += step)
            {
                double share = piece > 0 ? (next - passed) / piece : 0;
                places.Add(new Point(Lengths.Round(a.X + share * (b.X - a.X)), Lengths.Round(a.Y + share * (b.Y - a.Y))));
            }
            passed += piece;
        }
        return places;
    }
}
