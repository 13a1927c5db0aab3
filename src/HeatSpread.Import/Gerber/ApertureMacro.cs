using System.Globalization;
using HeatSpread.Boards;
using HeatSpread.Import.Shapes;

namespace HeatSpread.Import.Gerber;

/// <summary>An aperture macro: its statements, which become a shape once the arguments are known.</summary>
/// <param name="Name">As the AD commands call it.</param>
/// <param name="Statements">Body, split at its <c>*</c>.</param>
/// <param name="Line">Where it is defined.</param>
internal sealed record ApertureMacro(string Name, IReadOnlyList<string> Statements, int Line)
{
    /// <summary>Builds the shape for arguments in file units.</summary>
    /// <param name="arguments">Values of <c>$1</c>, <c>$2</c>…</param>
    /// <param name="millimetersPerUnit">Of the file.</param>
    /// <param name="limits">Depth of brackets and crossings repaired.</param>
    /// <exception cref="UnreadableFileException">A statement cannot be understood.</exception>
    public Shape Build(IReadOnlyList<double> arguments, double millimetersPerUnit, ImportLimits limits)
    {
        var variables = new Dictionary<int, double>();
        for (int i = 0; i < arguments.Count; i++) variables[i + 1] = arguments[i];
        var canvas = new MacroCanvas(millimetersPerUnit, limits, this);
        foreach (string statement in Statements)
        {
            string text = statement.Trim();
            if (text.Length == 0 || text[0] == '0') continue;
            if (text[0] == '$') Assign(text, variables, limits);
            else Paint(text, variables, canvas, limits);
        }
        return canvas.Result();
    }

    public UnreadableFileException Unreadable(string what) => new(Line, 1, $"in aperture macro '{Name}' {what}");

    private void Assign(string text, Dictionary<int, double> variables, ImportLimits limits)
    {
        int equals = text.IndexOf('=', StringComparison.Ordinal);
        if (equals < 2 || !int.TryParse(text.AsSpan(1, equals - 1), NumberStyles.None, CultureInfo.InvariantCulture, out int index)) throw Unreadable($"'{Short(text)}' must be a definition like '$4=$1x0.5'");
        variables[index] = Evaluate(text[(equals + 1)..], variables, limits);
    }

    private void Paint(string text, Dictionary<int, double> variables, MacroCanvas canvas, ImportLimits limits)
    {
        string[] fields = text.Split(',');
        if (!int.TryParse(fields[0], NumberStyles.None, CultureInfo.InvariantCulture, out int code)) throw Unreadable($"'{Short(text)}' must begin with the number of a primitive");
        var values = new double[fields.Length - 1];
        for (int i = 0; i < values.Length; i++) values[i] = Evaluate(fields[i + 1], variables, limits);
        canvas.Paint(code, values);
    }

    private double Evaluate(string expression, Dictionary<int, double> variables, ImportLimits limits) =>
        MacroExpression.Evaluate(expression, variables, limits.MaxNesting) ?? throw Unreadable($"'{Short(expression)}' must be an arithmetic expression with a finite value");

    private static string Short(string text) => text.Length <= 60 ? text : text[..60] + "…";
}

/// <summary>Where the primitives of one macro are put together; exposure off takes away only what the macro itself painted.</summary>
internal sealed class MacroCanvas(double unit, ImportLimits limits, ApertureMacro macro)
{
    private const int MaxOutlinePoints = 100_000;

    private readonly List<Polygon> painted = [];
    private (Point Center, double Diameter)? onlyCircle;
    private int primitives;
    private bool isUnited = true;

    public Shape Result()
    {
        if (primitives == 1 && onlyCircle is { } circle) return new StrokeShape([circle.Center], circle.Diameter);
        Unite();
        return new AreaShape([.. painted]);
    }

    /// <summary>Paints one primitive; its numbers are in file units, angles in degrees.</summary>
    public void Paint(int code, double[] v)
    {
        primitives++;
        switch (code)
        {
            case 1: Circle(v); break;
            case 2 or 20: Need(v, 6, code); Add(v[0], Line(v), Angle(v, 6)); break;
            case 21: Need(v, 5, code); Add(v[0], Shifted(Outlines.Rectangle(v[1] * unit, v[2] * unit), v[3], v[4]), Angle(v, 5)); break;
            case 22: Need(v, 5, code); Add(v[0], Outlines.Rectangle(v[3] * unit, v[4] * unit, (v[3] + v[1]) * unit, (v[4] + v[2]) * unit), Angle(v, 5)); break;
            case 4: Outline(v); break;
            case 5: RegularPolygon(v); break;
            case 6: Moire(v); break;
            case 7: Thermal(v); break;
            default: throw macro.Unreadable($"the primitive must be 1, 2, 4, 5, 6, 7, 20, 21 or 22, and {code} was found");
        }
    }

    private void Need(double[] v, int count, int code)
    {
        if (v.Length < count) throw macro.Unreadable($"primitive {code} must have at least {count} numbers, and {v.Length} were found");
    }

    private static double Angle(double[] v, int index) => index < v.Length ? v[index] : 0;

    private IReadOnlyList<Point> Shifted(IReadOnlyList<Point> ring, double x, double y) => PlaneTransform.Shift(x * unit, y * unit).Apply(ring);

    private IReadOnlyList<Point> Line(double[] v) => Outlines.Line(new Point(v[2] * unit, v[3] * unit), new Point(v[4] * unit, v[5] * unit), v[1] * unit);

    private void Circle(double[] v)
    {
        Need(v, 4, 1);
        var center = PlaneTransform.Of(false, false, Angle(v, 4), 1).Apply(new Point(v[2] * unit, v[3] * unit));
        if (v[0] != 0) onlyCircle = (center, v[1] * unit);
        if (v[1] > 0) Add(v[0], Arcs.Circle(center, v[1] * unit), 0);
    }

    private void Outline(double[] v)
    {
        Need(v, 2, 4);
        if (v[1] is not (>= 1 and <= MaxOutlinePoints)) throw macro.Unreadable($"an outline must have 1 to {MaxOutlinePoints} edges, and {v[1]} were found");
        int points = (int)v[1] + 1;
        Need(v, 2 + 2 * points, 4);
        var ring = new Point[points];
        for (int i = 0; i < points; i++) ring[i] = new Point(v[2 + 2 * i] * unit, v[3 + 2 * i] * unit);
        Add(v[0], ring, Angle(v, 2 + 2 * points));
    }

    private void RegularPolygon(double[] v)
    {
        Need(v, 5, 5);
        if (v[1] is not (>= 3 and <= 1000)) throw macro.Unreadable($"a polygon must have at least 3 vertices, and {v[1]} were found");
        Add(v[0], Shifted(Outlines.RegularPolygon((int)v[1], v[4] * unit, 0), v[2], v[3]), Angle(v, 5));
    }

    /// <summary>Rings about a common centre with a cross.</summary>
    private void Moire(double[] v)
    {
        Need(v, 8, 6);
        var center = new Point(v[0] * unit, v[1] * unit);
        var shapes = new List<Polygon>();
        double outer = v[2], ring = v[3], gap = v[4];
        for (int i = 0; i < Math.Min(v[5], 100) && outer > 0; i++, outer -= 2 * (ring + gap))
        {
            double inner = outer - 2 * ring;
            shapes.Add(new Polygon(Arcs.Circle(center, outer * unit), inner > 0 ? [Arcs.Circle(center, inner * unit)] : null));
        }
        shapes.Add(new Polygon(Shifted(Outlines.Rectangle(v[7] * unit, v[6] * unit), v[0], v[1])));
        shapes.Add(new Polygon(Shifted(Outlines.Rectangle(v[6] * unit, v[7] * unit), v[0], v[1])));
        AddTurned(shapes.Where(s => s.Area > 0), Angle(v, 8));
    }

    /// <summary>A ring cut by a cross-shaped gap.</summary>
    private void Thermal(double[] v)
    {
        Need(v, 5, 7);
        if (v[2] <= 0 || v[3] < 0 || v[3] >= v[2]) throw macro.Unreadable($"a thermal's inner diameter must be less than the outer one, and {v[3]} and {v[2]} were found");
        var center = new Point(v[0] * unit, v[1] * unit);
        IReadOnlyList<Polygon> shapes = [new Polygon(Arcs.Circle(center, v[2] * unit), v[3] > 0 ? [Arcs.Circle(center, v[3] * unit)] : null)];
        if (v[4] > 0)
        {
            double reach = v[2] * unit * 1.1, gap = v[4] * unit;
            shapes = Overlay.Difference(shapes, [new Polygon(Shifted(Outlines.Rectangle(reach, gap), v[0], v[1])), new Polygon(Shifted(Outlines.Rectangle(gap, reach), v[0], v[1]))]);
        }
        AddTurned(shapes, Angle(v, 5));
    }

    /// <summary>Turns about the macro's origin, not about the primitive.</summary>
    private void Add(double exposure, IReadOnlyList<Point> ring, double degrees)
    {
        var turned = PlaneTransform.Of(false, false, degrees, 1).Apply(ring);
        CheckBounds(turned);
        var filled = Contours.Fill(turned, limits.MaxCrossings, out _) ?? throw macro.Unreadable("an outline crosses itself too often");
        if (exposure != 0)
        {
            isUnited &= painted.Count == 0;
            painted.AddRange(filled);
            return;
        }
        var rest = Overlay.Difference([.. painted], filled);
        painted.Clear();
        painted.AddRange(rest);
        isUnited = true;
    }

    private void AddTurned(IEnumerable<Polygon> shapes, double degrees)
    {
        var turned = (AreaShape)new AreaShape([.. shapes]).Transform(PlaneTransform.Of(false, false, degrees, 1));
        foreach (var polygon in turned.Polygons) CheckBounds(polygon.Outer);
        isUnited = false;
        painted.AddRange(turned.Polygons);
    }

    private void CheckBounds(IReadOnlyList<Point> ring)
    {
        foreach (var p in ring)
        {
            if (!(Math.Abs(p.X) < Lengths.Farthest && Math.Abs(p.Y) < Lengths.Farthest)) throw macro.Unreadable("every point must lie within 9 m of the origin");
        }
    }

    private void Unite()
    {
        if (isUnited) return;
        var union = Overlay.Union([.. painted]);
        painted.Clear();
        painted.AddRange(union);
        isUnited = true;
    }
}
