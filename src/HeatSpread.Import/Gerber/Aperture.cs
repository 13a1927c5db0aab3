using HeatSpread.Boards;
using HeatSpread.Import.Shapes;

namespace HeatSpread.Import.Gerber;

/// <summary>An aperture as flashes and draws use it: a shape about the origin, or a block of objects.</summary>
/// <param name="Shape">In mm; null for a block aperture.</param>
/// <param name="Block">Objects of a block aperture; else null.</param>
/// <param name="Function">Its <c>.AperFunction</c>, or null.</param>
internal sealed record Aperture(Shape? Shape, IReadOnlyList<GraphicObject>? Block, string? Function)
{
    /// <summary>Diameter where the aperture is a disc about its origin (its draws then have round ends); else null.</summary>
    public double? RoundDiameter => Shape is StrokeShape { Path: [{ X: 0, Y: 0 }] } disc ? disc.Width : null;

    /// <summary>A standard aperture (C, R, O or P) from its parameters in file units; null where there is no such template.</summary>
    /// <param name="template">Its letter.</param>
    /// <param name="parameters">In file units; degrees and counts as they are.</param>
    /// <param name="unit">Millimetres in a file unit.</param>
    /// <param name="unreadable">Makes the exception that says where and what.</param>
    /// <exception cref="UnreadableFileException">Parameters do not fit.</exception>
    public static Shape? Standard(string template, IReadOnlyList<double> parameters, double unit, Func<string, UnreadableFileException> unreadable)
    {
        double At(int i) => i < parameters.Count ? parameters[i] * unit : 0;
        double Needed(int i, string what) => i < parameters.Count && parameters[i] >= 0 ? At(i) : throw unreadable($"aperture template {template} must have its {what}, at least 0");
        return template switch
        {
            "C" => WithHole(new StrokeShape([default], Lengths.Round(Needed(0, "diameter"))), At(1), At(2)),
            "R" => WithHole(Rectangle(Needed(0, "width"), Needed(1, "height")), At(2), At(3)),
            "O" => WithHole(Obround(Needed(0, "width"), Needed(1, "height")), At(2), At(3)),
            "P" => WithHole(RegularPolygon(Needed(0, "diameter"), parameters, Needed(1, "number of vertices") / unit, unreadable), At(3), At(4)),
            _ => null,
        };
    }

    /// <summary>The area under a draw with this aperture, for one straight piece: exact for a convex aperture.</summary>
    public static IReadOnlyList<Point> Sweep(Shape shape, Point from, Point to)
    {
        var points = Polygons(shape).SelectMany(p => p.Outer).ToList();
        return Outlines.ConvexHull([.. PlaneTransform.Shift(from.X, from.Y).Apply(points), .. PlaneTransform.Shift(to.X, to.Y).Apply(points)]);
    }

    /// <summary>A shape as polygons: discs and obrounds get their vertices.</summary>
    public static IReadOnlyList<Polygon> Polygons(Shape shape) => shape switch
    {
        AreaShape area => area.Polygons,
        StrokeShape { Width: > 0 } stroke => stroke.Path.Count == 1
            ? [new Polygon(Arcs.Circle(stroke.Path[0], stroke.Width))]
            : [.. stroke.Path.Zip(stroke.Path.Skip(1), (a, b) => new Polygon(Outlines.Capsule(a, b, stroke.Width)))],
        _ => [],
    };

    private static AreaShape Rectangle(double width, double height) => new(width > 0 && height > 0 ? [new Polygon(Outlines.Rectangle(width, height))] : []);

    private static StrokeShape Obround(double width, double height)
    {
        double half = Math.Abs(width - height) / 2;
        if (half == 0) return new StrokeShape([default], Lengths.Round(width));
        var end = width > height ? new Point(Lengths.Round(half), 0) : new Point(0, Lengths.Round(half));
        return new StrokeShape([new Point(-end.X, -end.Y), end], Lengths.Round(Math.Min(width, height)));
    }

    private static AreaShape RegularPolygon(double diameter, IReadOnlyList<double> parameters, double vertices, Func<string, UnreadableFileException> unreadable)
    {
        if (vertices is not (>= 3 and <= 1000)) throw unreadable($"a polygon aperture must have at least 3 vertices, and {vertices} were found");
        return new AreaShape(diameter > 0 ? [new Polygon(Outlines.RegularPolygon((int)vertices, diameter, parameters.Count > 2 ? parameters[2] : 0))] : []);
    }

    /// <param name="shape">Solid.</param>
    /// <param name="width">Of a rectangular hole, or the diameter of a round one; 0: no hole.</param>
    /// <param name="height">Of a rectangular hole; 0: the hole is round.</param>
    private static Shape WithHole(Shape shape, double width, double height)
    {
        if (width <= 0) return shape;
        var hole = height > 0 ? Outlines.Rectangle(width, height) : Arcs.Circle(default, width);
        return new AreaShape(Overlay.Difference(Polygons(shape), [new Polygon(hole)]));
    }
}
