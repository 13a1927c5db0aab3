using HeatSpread.Boards;
using HeatSpread.Import.Shapes;

namespace HeatSpread.Import.Ipc2581;

/// <summary>The closed standard primitives, about their own origin.</summary>
internal sealed partial class PrimitiveBuilder
{
    private Shape? Standard(XmlPart part, double unit)
    {
        double Size(string attribute)
        {
            double size = part.Length(attribute, unit);
            return size >= 0 ? size : throw part.Unreadable($"must not have a negative '{attribute}'");
        }
        switch (part.Name)
        {
            case "Circle": return Size("diameter") is > 0 and var diameter ? new StrokeShape([default], Lengths.Round(diameter)) : null;
            case "RectCenter": return Area(Outlines.Rectangle(Size("width"), Size("height")));
            case "RectCorner": return Area(Outlines.Rectangle(part.Length("lowerLeftX", unit), part.Length("lowerLeftY", unit), part.Length("upperRightX", unit), part.Length("upperRightY", unit)));
            case "RectRound": return Corners(part, Size("width"), Size("height"), Size("radius"), isRound: true);
            case "RectCham": return Corners(part, Size("width"), Size("height"), Size("chamfer"), isRound: false);
            case "Oval": return Oval(Size("width"), Size("height"));
            case "Ellipse": return Area([.. Arcs.Circle(default, Math.Max(Size("width"), Size("height"))).Select(p => Squeezed(p, Size("width"), Size("height")))]);
            case "Hexagon": return Area(Outlines.RegularPolygon(6, Size("length"), 0));
            case "Octagon": return Area(Outlines.RegularPolygon(8, Size("length"), 22.5));
            case "Diamond": return Area([P(Size("width") / 2, 0), P(0, Size("height") / 2), P(-Size("width") / 2, 0), P(0, -Size("height") / 2)]);
            case "Triangle": return Area([P(-Size("base") / 2, -Size("height") / 2), P(Size("base") / 2, -Size("height") / 2), P(0, Size("height") / 2)]);
            case "Butterfly": return Butterfly(part, unit);
            case "Donut": return new AreaShape(Ring(part, Size("outerDiameter"), Size("innerDiameter")));
            case "Thermal": return Thermal(part, unit);
            case "Moire": return Moire(part, unit);
            default:
                notes.Warn(part.Line, $"has the element <{part.Name}> where a shape is expected; it was passed over");
                return null;
        }
    }

    private static Point P(double x, double y) => new(Lengths.Round(x), Lengths.Round(y));

    private static AreaShape? Area(IReadOnlyList<Point> ring) => Math.Abs(Polygon.SignedArea(ring)) <= Overlay.LeastArea ? null : new AreaShape([new Polygon(ring)]);

    private static Point Squeezed(Point p, double width, double height) => width >= height ? P(p.X, p.Y * height / width) : P(p.X * width / height, p.Y);

    private static StrokeShape? Oval(double width, double height)
    {
        if (width <= 0 || height <= 0) return null;
        double half = (width - height) / 2;
        if (half == 0) return new StrokeShape([default], Lengths.Round(width));
        var end = half > 0 ? P(half, 0) : P(0, -half);
        return new StrokeShape([new Point(-end.X, -end.Y), end], Lengths.Round(Math.Min(width, height)));
    }

    /// <summary>A rectangle with some corners rounded or cut; a corner that is not named stays sharp.</summary>
    private static AreaShape? Corners(XmlPart part, double width, double height, double size, bool isRound)
    {
        double w = width / 2, h = height / 2;
        size = Math.Min(size, Math.Min(w, h));
        var ring = new List<Point>();
        Corner("lowerLeft", -w, -h, 0, 1, 1, 0);
        Corner("lowerRight", w, -h, -1, 0, 0, 1);
        Corner("upperRight", w, h, 0, -1, -1, 0);
        Corner("upperLeft", -w, h, 1, 0, 0, -1);
        return Area([.. ring.Where((p, i) => i == 0 || p != ring[i - 1])]);

        // Counter-clockwise: the corner is reached along (-ax, -ay)·size and left along (bx, by)·size.
        void Corner(string flag, double x, double y, double ax, double ay, double bx, double by)
        {
            if (size <= 0 || !part.Flag(flag))
            {
                ring.Add(P(x, y));
                return;
            }
            var (from, to) = (P(x + ax * size, y + ay * size), P(x + bx * size, y + by * size));
            ring.Add(from);
            if (isRound) Arcs.Append(ring, from, to, new Point(x + (ax + bx) * size, y + (ay + by) * size), Math.PI / 2);
            else ring.Add(to);
        }
    }

    private static IReadOnlyList<Point> Regular(XmlPart part, double diameter) => part.Text("shape") switch
    {
        "SQUARE" => Outlines.Rectangle(diameter, diameter),
        "HEXAGON" => Outlines.RegularPolygon(6, diameter, 0),
        "OCTAGON" => Outlines.RegularPolygon(8, diameter, 22.5),
        _ => Arcs.Circle(default, diameter),
    };

    private static IReadOnlyList<Polygon> Ring(XmlPart part, double outer, double inner)
    {
        if (outer <= 0 || inner >= outer) throw part.Unreadable($"must have an 'innerDiameter' less than its 'outerDiameter'; {inner} and {outer} mm were found");
        return [new Polygon(Regular(part, outer), inner > 0 ? [Regular(part, inner)] : null)];
    }

    /// <summary>A ring cut by gaps (revision B: <c>gap</c>, revision C: <c>spokeWidth</c>) from <c>spokeStartAngle</c> on.</summary>
    private static AreaShape Thermal(XmlPart part, double unit)
    {
        double outer = part.Length("outerDiameter", unit);
        var ring = Ring(part, outer, part.Length("innerDiameter", unit));
        double gap = part.LengthOr("gap", unit, part.LengthOr("spokeWidth", unit, 0)), start = part.Number("spokeStartAngle") ?? 0;
        double spokes = part.Number("spokeCount") ?? 4;
        if (spokes is not (>= 0 and <= 64)) throw part.Unreadable($"must have a 'spokeCount' of 0 to 64, and {spokes} was found");
        if (gap <= 0 || spokes < 1) return new AreaShape(ring);
        var bar = Outlines.Rectangle(0, -gap / 2, outer * 1.1, gap / 2);
        var gaps = Enumerable.Range(0, (int)spokes).Select(i => new Polygon(PlaneTransform.Of(false, false, start + 360.0 * i / (int)spokes, 1).Apply(bar)));
        return new AreaShape(Overlay.Difference(ring, [.. gaps]));
    }

    /// <summary>Two opposite quarters of a disc or a square.</summary>
    private static AreaShape Butterfly(XmlPart part, double unit)
    {
        bool isSquare = part.Text("shape") == "SQUARE";
        double half = part.LengthOr("diameter", unit, part.LengthOr("side", unit, 0)) / 2;
        if (half <= 0) throw part.Unreadable("must have a 'diameter' or a 'side' above 0");
        List<Point> quarter = [default, P(half, 0)];
        if (isSquare) quarter.AddRange([P(half, half), P(0, half)]);
        else Arcs.Append(quarter, P(half, 0), P(0, half), default, Math.PI / 2);
        return new AreaShape([new Polygon(quarter), new Polygon([.. quarter.Select(p => new Point(-p.X, -p.Y))])]);
    }

    private static AreaShape Moire(XmlPart part, double unit)
    {
        double outer = part.Length("diameter", unit), ring = part.Length("ringWidth", unit), gap = part.Length("ringGap", unit);
        var shapes = new List<Polygon>();
        for (int i = 0; i < Math.Min(part.Number("ringNumber") ?? 0, 100) && outer > 0; i++, outer -= 2 * (ring + gap))
        {
            double inner = outer - 2 * ring;
            shapes.Add(new Polygon(Arcs.Circle(default, outer), inner > 0 ? [Arcs.Circle(default, inner)] : null));
        }
        double width = part.LengthOr("lineWidth", unit, 0), length = part.LengthOr("lineLength", unit, 0), angle = part.Number("lineAngle") ?? 0;
        if (width > 0 && length > 0)
        {
            shapes.Add(new Polygon(PlaneTransform.Of(false, false, angle, 1).Apply(Outlines.Rectangle(length, width))));
            shapes.Add(new Polygon(PlaneTransform.Of(false, false, angle + 90, 1).Apply(Outlines.Rectangle(length, width))));
        }
        return new AreaShape(Overlay.Union(shapes));
    }
}
