using HeatSpread.Boards;
using HeatSpread.Import.Shapes;
using NetTopologySuite.Algorithm.Locate;
using NetTopologySuite.Geometries;
using NetTopologySuite.Operation.Distance;
using Point = HeatSpread.Boards.Point;

namespace HeatSpread.Import.Parts;

/// <summary>Answers quickly what lies on the board.</summary>
internal sealed class BoardArea
{
    private readonly IndexedPointInAreaLocator locator;
    private readonly IndexedFacetDistance distance;

    public BoardArea(Region outline)
    {
        Outline = outline;
        var geometry = Overlay.Factory.BuildGeometry([.. outline.Polygons.Select(p => (Geometry)Overlay.ToNts(p))]);
        locator = new IndexedPointInAreaLocator(geometry);
        distance = new IndexedFacetDistance(geometry);
    }

    public Region Outline { get; }

    /// <summary>On the board, its rim counted.</summary>
    public bool Holds(Point p) => locator.Locate(new Coordinate(p.X, p.Y)) != Location.Exterior;

    /// <summary>On the board, or off it by no more than a distance in mm.</summary>
    public bool Holds(Point p, double tolerance) => Holds(p) || distance.Distance(Overlay.Factory.CreatePoint(new Coordinate(p.X, p.Y))) <= tolerance;
}
