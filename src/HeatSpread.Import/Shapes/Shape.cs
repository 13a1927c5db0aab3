using HeatSpread.Boards;

namespace HeatSpread.Import.Shapes;

/// <summary>A painted shape in mm.</summary>
internal abstract record Shape
{
    public abstract int PointCount { get; }

    public abstract Shape Transform(in PlaneTransform transform);
}

/// <summary>A line with round ends; a path of one point is a disc. Width 0 paints nothing but still is a line (of a profile).</summary>
internal sealed record StrokeShape(IReadOnlyList<Point> Path, double Width) : Shape
{
    public override int PointCount => Path.Count;

    public override Shape Transform(in PlaneTransform transform) => new StrokeShape(transform.Apply(Path), Width * transform.Scale);
}

/// <summary>The union of polygons.</summary>
/// <param name="Polygons">Rings simple and open.</param>
/// <param name="CenterLine">Of a stroke whose aperture is not round; else null.</param>
internal sealed record AreaShape(IReadOnlyList<Polygon> Polygons, IReadOnlyList<Point>? CenterLine = null) : Shape
{
    public override int PointCount => Polygons.Sum(p => p.Rings.Sum(r => r.Count));

    public override Shape Transform(in PlaneTransform transform)
    {
        var t = transform;
        return new AreaShape([.. Polygons.Select(p => new Polygon(t.Apply(p.Outer), [.. p.Holes.Select(h => t.Apply(h))]))], CenterLine is null ? null : t.Apply(CenterLine));
    }
}

/// <summary>Mirror, then scale, then turn, then shift: what Gerber's LM, LS, LR and a place do to an aperture.</summary>
internal readonly record struct PlaneTransform(double Xx, double Xy, double Yx, double Yy, double Dx, double Dy)
{
    public static PlaneTransform Identity { get; } = new(1, 0, 0, 1, 0, 0);

    /// <summary>Square root of the change of area.</summary>
    public double Scale => Math.Sqrt(Math.Abs(Xx * Yy - Xy * Yx));

    public static PlaneTransform Shift(double dx, double dy) => new(1, 0, 0, 1, dx, dy);

    public static PlaneTransform Of(bool mirrorX, bool mirrorY, double degrees, double scale)
    {
        var (sin, cos) = SinCos(degrees);
        double sx = mirrorX ? -scale : scale, sy = mirrorY ? -scale : scale;
        return new PlaneTransform(cos * sx, -sin * sy, sin * sx, cos * sy, 0, 0);
    }

    public PlaneTransform At(Point place) => this with { Dx = place.X, Dy = place.Y };

    public Point Apply(Point p) => new(Lengths.Round(Xx * p.X + Xy * p.Y + Dx), Lengths.Round(Yx * p.X + Yy * p.Y + Dy));

    public IReadOnlyList<Point> Apply(IReadOnlyList<Point> points)
    {
        var result = new Point[points.Count];
        for (int i = 0; i < result.Length; i++) result[i] = Apply(points[i]);
        return result;
    }

    /// <summary>Exact at the quarter turns, so that a turned rectangle keeps its edges along the axes.</summary>
    private static (double Sin, double Cos) SinCos(double degrees)
    {
        double turn = degrees % 360;
        if (turn < 0) turn += 360;
        return turn switch
        {
            0 => (0, 1),
            90 => (1, 0),
            180 => (0, -1),
            270 => (-1, 0),
            _ => Math.SinCos(turn * Math.PI / 180),
        };
    }
}

/// <summary>Lengths in mm are kept to a nanometre: finer than any fabrication file, and short when written.</summary>
internal static class Lengths
{
    public const double MillimetersPerInch = 25.4;

    /// <summary>Largest coordinate that is read, mm; layouts end at 10 m.</summary>
    public const double Farthest = 9000;

    public static double Round(double millimeters) => Math.Round(millimeters, 6) + 0.0; // adding zero turns -0 into 0
}
