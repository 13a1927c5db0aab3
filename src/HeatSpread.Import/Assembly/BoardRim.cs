using NetTopologySuite.Geometries;

namespace HeatSpread.Import.Assembly;

/// <summary>The edges of a board, as a milling tool follows them.</summary>
/// <param name="rim">The boundary of the profile, mm.</param>
internal sealed class BoardRim(Geometry rim)
{
    private readonly Dictionary<double, Geometry> bands = [];

    /// <summary>Whether a route runs along the rim: it mills the profile, and cuts nothing off that the profile does not.</summary>
    public bool IsFollowedBy(BoardHole route)
    {
        if (route.Diameter <= 0 || route.Path.Count < 2) return false;
        var line = Shapes.Overlay.Factory.CreateLineString([.. route.Path.Select(p => new Coordinate(p.X, p.Y))]);
        if (line.Length < 6 * route.Diameter) return false;
        if (!bands.TryGetValue(route.Diameter, out var band)) bands[route.Diameter] = band = rim.Buffer(0.75 * route.Diameter, 4);
        return line.Intersection(band).Length > 0.8 * line.Length;
    }
}
