using System.Runtime.InteropServices;
using HeatSpread.Boards;

namespace HeatSpread.Thermal.Raster;

/// <summary>What one shape does to the copper under it.</summary>
internal enum PaintAction : byte
{
    Paint,
    Clear,

    /// <summary>Clears the copper of every owner but its own.</summary>
    ClearOthers,
}

/// <summary>
/// One convex or polygonal shape with its action. A capsule is all points within <see cref="Radius"/> of the segment A–B;
/// a polygon is a run of <see cref="PaintProgram.Edges"/>, inside by the odd crossings.
/// </summary>
internal readonly struct PaintShape
{
    public required PaintAction Action { get; init; }

    public required int Owner { get; init; }

    /// <summary>Lower end of a capsule's axis.</summary>
    public Point A { get; init; }

    /// <summary>Upper end of a capsule's axis.</summary>
    public Point B { get; init; }

    /// <summary>Of a capsule, m; negative for a polygon.</summary>
    public required double Radius { get; init; }

    /// <summary>From the axis of a capsule to its left side, seen upward, m; zero for a disc.</summary>
    public Point Side { get; init; }

    public int FirstEdge { get; init; }

    public int EdgeCount { get; init; }

    public required double MinY { get; init; }

    public required double MaxY { get; init; }

    public bool IsCapsule => Radius >= 0;
}

/// <summary>A straight edge of a polygon, m.</summary>
internal readonly record struct Edge(Point A, Point B);

/// <summary>
/// The shapes of one layer in the order in which they are painted. Every area, track, clearance and pad becomes capsules and polygons, so
/// that nothing needs the union of polygons: what covers a point is decided on each scan line by the order of painting.
/// </summary>
internal sealed class PaintProgram
{
    /// <summary>Owner of copper that has no net.</summary>
    public const int NoNet = -1;

    private readonly List<PaintShape> _shapes;
    private readonly List<Edge> _edges;

    private PaintProgram(int shapes = 0, int edges = 0) => (_shapes, _edges) = (new(shapes), new(edges));

    public ReadOnlySpan<PaintShape> Shapes => CollectionsMarshal.AsSpan(_shapes);

    public ReadOnlySpan<Edge> Edges => CollectionsMarshal.AsSpan(_edges);

    /// <summary>The copper of one layer: features in document order, then vias, then the pads of parts.</summary>
    public static PaintProgram ForLayer(Board board, int layer)
    {
        CopperFeature[] features = [.. board.Copper.Where(feature => feature.Layer == layer)];
        var program = new PaintProgram(features.Sum(ShapeCount), features.Sum(EdgeCount));
        foreach (var feature in features) program.Add(feature);
        foreach (var via in board.Vias.Where(via => via.FromLayer <= layer && layer <= via.ToLayer)) program.Add(via);
        foreach (var part in board.Parts)
        {
            foreach (var terminal in part.Terminals.Where(t => part.SidesOf(t).Any(side => layer == board.OuterLayer(side)))) program.Add(terminal.Pad, PaintAction.Paint, terminal.Net);
        }
        return program;
    }

    /// <summary>As <see cref="ForLayer"/>, with the metal of one net's plated holes as discs of copper, so that what a barrel touches is joined to it.</summary>
    public static PaintProgram ForNet(Board board, int layer, int net)
    {
        var program = ForLayer(board, layer);
        foreach (var via in board.Vias.Where(via => via.Net == net && via.Plating > 0 && via.FromLayer <= layer && layer <= via.ToLayer))
        {
            foreach (var at in via.At) program.AddCapsule(at, at, via.Drill / 2, PaintAction.Paint, net);
        }
        return program;
    }

    public static PaintProgram ForRegion(Region region)
    {
        var program = new PaintProgram();
        program.Add(region, PaintAction.Paint, NoNet);
        return program;
    }

    /// <summary>How many shapes a feature becomes, for room made at once; a grown area's are left out.</summary>
    private static int ShapeCount(CopperFeature feature)
    {
        if (feature.Track is { } track) return Math.Max(track.Path.Count - 1, 1) * (feature.Clearance > 0 ? 2 : 1);
        return feature.Area?.Polygons.Count ?? 0;
    }

    private static int EdgeCount(CopperFeature feature)
    {
        int count = 0;
        foreach (var polygon in feature.Area?.Polygons ?? [])
        {
            count += polygon.Outer.Count;
            foreach (var hole in polygon.Holes) count += hole.Count;
        }
        return feature.Clearance > 0 ? 2 * count : count;
    }

    private void Add(CopperFeature feature)
    {
        var action = feature.IsClear ? PaintAction.Clear : PaintAction.Paint;
        if (feature.Area is { } area)
        {
            if (feature.Clearance > 0) AddGrown(area, feature.Clearance, feature.Net);
            Add(area, action, feature.Net);
        }
        else if (feature.Track is { } track)
        {
            if (feature.Clearance > 0) Add(track.Path, track.Width / 2 + feature.Clearance, PaintAction.ClearOthers, feature.Net);
            Add(track.Path, track.Width / 2, action, feature.Net);
        }
    }

    private void Add(ViaGroup via)
    {
        foreach (var at in via.At)
        {
            if (via.Clearance > 0) AddCapsule(at, at, via.Drill / 2 + via.Clearance, PaintAction.ClearOthers, via.Net);
        }
        foreach (var at in via.At)
        {
            if (via.Pad > 0) AddCapsule(at, at, via.Pad / 2, PaintAction.Paint, via.Net);
        }
    }

    private void Add(Region region, PaintAction action, int owner)
    {
        // Polygons of a region may overlap; painted one after the other they are their union.
        foreach (var polygon in region.Polygons)
        {
            int first = _edges.Count;
            double lowest = double.PositiveInfinity, highest = double.NegativeInfinity;
            foreach (var ring in polygon.Rings)
            {
                if (ring.Count == 0) continue;
                var from = ring[^1];
                for (int i = 0; i < ring.Count; i++)
                {
                    var to = ring[i];
                    _edges.Add(new Edge(from, to));
                    (lowest, highest) = (Math.Min(lowest, to.Y), Math.Max(highest, to.Y));
                    from = to;
                }
            }
            _shapes.Add(new PaintShape
            {
                Action = action,
                Owner = owner,
                Radius = -1,
                FirstEdge = first,
                EdgeCount = _edges.Count - first,
                MinY = lowest,
                MaxY = highest,
            });
        }
    }

    /// <summary>The region and all points within <paramref name="distance"/> of it: the region, and a capsule along each of its edges.</summary>
    private void AddGrown(Region region, double distance, int owner)
    {
        Add(region, PaintAction.ClearOthers, owner);
        foreach (var ring in region.Polygons.SelectMany(polygon => polygon.Rings))
        {
            for (int i = 0; i < ring.Count; i++) AddCapsule(ring[i], ring[(i + 1) % ring.Count], distance, PaintAction.ClearOthers, owner);
        }
    }

    private void Add(IReadOnlyList<Point> path, double radius, PaintAction action, int owner)
    {
        var from = path[0];
        if (path.Count == 1) AddCapsule(from, from, radius, action, owner);
        for (int i = 1; i < path.Count; i++)
        {
            var to = path[i];
            AddCapsule(from, to, radius, action, owner);
            from = to;
        }
    }

    private void AddCapsule(Point a, Point b, double radius, PaintAction action, int owner)
    {
        if (a.Y > b.Y) (a, b) = (b, a);
        double dx = b.X - a.X, dy = b.Y - a.Y, length = Math.Sqrt(dx * dx + dy * dy);
        _shapes.Add(new PaintShape
        {
            Action = action,
            Owner = owner,
            A = a,
            B = b,
            Radius = radius,
            Side = length > 0 ? new Point(-dy / length * radius, dx / length * radius) : default,
            MinY = Math.Min(a.Y, b.Y) - radius,
            MaxY = Math.Max(a.Y, b.Y) + radius,
        });
    }
}
