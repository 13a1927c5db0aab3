using HeatSpread.Boards;
using HeatSpread.Import.Connectivity;
using HeatSpread.Import.Shapes;

namespace HeatSpread.Import.Ipc2581;

/// <summary>
/// Shapes from the primitives of IPC-2581 (section 3 and chapter 4 of the standard), in mm: references to dictionaries, user specials, lines and polygons here,
/// the closed standard primitives in the other part.
/// </summary>
internal sealed partial class PrimitiveBuilder(Dictionaries dictionaries, FileNotes notes, ImportLimits limits)
{
    private const int MaxDepth = 20;

    /// <summary>What an element paints; nothing for one that is no shape.</summary>
    /// <param name="part">A primitive, or an element around primitives.</param>
    /// <param name="unit">Millimetres in a unit of its lengths.</param>
    /// <param name="depth">Of references.</param>
    /// <exception cref="UnreadableFileException">It cannot be understood.</exception>
    public IReadOnlyList<PaintedShape> Build(XmlPart part, double unit, int depth = 0)
    {
        if (depth > MaxDepth) throw part.Unreadable($"refers to primitives {MaxDepth} deep, or in a circle");
        switch (part.Name)
        {
            case "StandardPrimitiveRef": return Referred(part, isUser: false, depth);
            case "UserPrimitiveRef": return Referred(part, isUser: true, depth);
            case "UserSpecial" or "StandardPrimitive" or "UserPrimitive" or "EntryStandard" or "EntryUser" or "Marking": return Placed(part, unit, Group(part, unit, depth));
            case "Line" or "Arc" or "Polyline": return Stroke(part, unit);
            case "Outline" when part.Child("Polygon") is { } polygon: return Closed(part, unit, Fill(polygon, unit));
            case "Contour": return Contour(part, unit);
            case "Polygon": return Closed(part, unit, Fill(part, unit));
            case "Text":
                notes.Warn(part.Line, "has text on copper, which was left out");
                return [];
            case "Xform" or "Location" or "LineDesc" or "LineDescRef" or "FillDesc" or "FillDescRef" or "Color" or "ColorRef" or "NonstandardAttribute" or "PinRef" or "SpecRef" or "Span" or "Z_AxisDim" or "MaterialCut" or "MaterialLeft": return [];
            default: return Closed(part, unit, Standard(part, unit)) is { Count: > 0 } shapes ? shapes : [];
        }
    }

    private IReadOnlyList<PaintedShape> Referred(XmlPart part, bool isUser, int depth)
    {
        string id = part.Text("id") ?? throw part.Unreadable("must have the attribute 'id'");
        if (dictionaries.Find(id, isUser) is not { } entry) throw part.Unreadable($"must name an entry of the dictionaries, and '{id}' is none");
        return dictionaries.GetOrBuild(id, isUser, () => Build(entry.Part, entry.Unit, depth + 1));
    }

    /// <summary>Shapes together; what is void takes away what stands before it in the group, not what lies below on the layer.</summary>
    private List<PaintedShape> Group(XmlPart part, double unit, int depth)
    {
        var shapes = new List<PaintedShape>();
        foreach (var child in part.Children)
        {
            foreach (var shape in Build(child, unit, depth + 1))
            {
                if (shape.IsDark || part.Name != "UserSpecial") shapes.Add(shape);
                else TakeAway(shapes, shape.Shape);
            }
        }
        return shapes;
    }

    private static void TakeAway(List<PaintedShape> shapes, Shape taken)
    {
        var rest = Overlay.Difference([.. shapes.SelectMany(s => Gerber.Aperture.Polygons(s.Shape))], Gerber.Aperture.Polygons(taken));
        shapes.Clear();
        if (rest.Count > 0) shapes.Add(new PaintedShape(new AreaShape(rest), true));
    }

    private static IReadOnlyList<PaintedShape> Placed(XmlPart part, double unit, IReadOnlyList<PaintedShape> shapes)
    {
        if (Placement.Of(part, unit) is not { } transform) return shapes;
        return [.. shapes.Select(s => s with { Shape = s.Shape.Transform(transform) })];
    }

    private LineStyle? Style(XmlPart part, double unit)
    {
        if (part.Child("LineDesc") is { } inline) return Dictionaries.Style(inline, unit);
        if (part.Child("LineDescRef") is not { } reference) return null;
        string id = reference.Text("id") ?? "";
        return dictionaries.Lines.TryGetValue(id, out var style) ? style : throw reference.Unreadable($"must name an entry of the dictionary of lines, and '{id}' is none");
    }

    private string FillProperty(XmlPart part)
    {
        if (part.Child("FillDesc") is { } inline) return inline.Text("fillProperty") ?? "FILL";
        return part.Child("FillDescRef")?.Text("id") is { } id ? dictionaries.Fills.GetValueOrDefault(id, "FILL") : "FILL";
    }

    private IReadOnlyList<PaintedShape> Stroke(XmlPart part, double unit)
    {
        List<Point> path = part.Name == "Polyline" ? PolySteps.Path(part, unit) : [part.Place(unit, "startX", "startY")];
        if (part.Name == "Line") path.Add(part.Place(unit, "endX", "endY"));
        if (part.Name == "Arc") PolySteps.AppendArc(path, part.Place(unit, "endX", "endY"), part.Place(unit, "centerX", "centerY"), part.Flag("clockwise"));
        if (Style(part, unit) is not { } style)
        {
            notes.Warn(part.Line, "has lines without a width, which paint nothing");
            return [new PaintedShape(new StrokeShape(path, 0), true)];
        }
        var shape = Strokes.Make(path, style);
        return Placed(part, unit, [new PaintedShape(shape, true)]);
    }

    private IReadOnlyList<Polygon> Fill(XmlPart ring, double unit)
    {
        var filled = Contours.Fill(PolySteps.Path(ring, unit), limits.MaxCrossings, out bool repaired) ?? throw ring.Unreadable($"may cross itself {limits.MaxCrossings} times at most");
        if (repaired) notes.Warn(ring.Line, "has a contour that touches or crosses itself; it was filled by the non-zero winding rule");
        return filled;
    }

    private IReadOnlyList<PaintedShape> Contour(XmlPart part, double unit)
    {
        var outer = part.Child("Polygon") ?? throw part.Unreadable("must hold a <Polygon>");
        var filled = Fill(outer, unit);
        var cutouts = part.Named("Cutout").SelectMany(c => Fill(c, unit)).ToList();
        var area = Overlay.Difference(filled, cutouts);
        // The line and the fill may stand at the contour or at its polygon.
        var styled = outer.Child("LineDesc") is null && outer.Child("LineDescRef") is null && outer.Child("FillDesc") is null && outer.Child("FillDescRef") is null ? part : outer;
        return Placed(part, unit, Closed(styled, unit, area));
    }

    /// <summary>A closed shape by its fill and its line: hollow is the line alone, and a line beside a fill makes the shape fatter by half its width.</summary>
    private IReadOnlyList<PaintedShape> Closed(XmlPart part, double unit, IReadOnlyList<Polygon> area) => area.Count == 0 ? [] : Closed(part, unit, new AreaShape(area));

    private IReadOnlyList<PaintedShape> Closed(XmlPart part, double unit, Shape? shape)
    {
        if (shape is null) return [];
        string fill = FillProperty(part);
        double width = Style(part, unit)?.Width ?? 0;
        if (fill is "HATCH" or "MESH") notes.Warn(part.Line, "has hatched or meshed fills, which were taken as solid");
        var painted = new List<PaintedShape>();
        if (fill == "VOID") painted.Add(new PaintedShape(shape, false));
        else if (fill != "HOLLOW" && shape is StrokeShape round) painted.Add(new PaintedShape(round with { Width = round.Width + width }, true));
        else
        {
            if (fill != "HOLLOW") painted.Add(new PaintedShape(shape, true));
            if (width > 0) painted.AddRange(Rings(shape).Select(ring => new PaintedShape(new StrokeShape([.. ring, ring[0]], width), true)));
            else if (fill == "HOLLOW") notes.Warn(part.Line, "has hollow shapes without a line width, which paint nothing");
        }
        return part.Name is "Polygon" or "Outline" or "Contour" ? painted : Placed(part, unit, painted);
    }

    private static IEnumerable<IReadOnlyList<Point>> Rings(Shape shape) => shape switch
    {
        StrokeShape { Path.Count: 1 } disc => [Arcs.Circle(disc.Path[0], disc.Width)],
        StrokeShape stroke => [Outlines.Capsule(stroke.Path[0], stroke.Path[^1], stroke.Width)],
        AreaShape area => area.Polygons.SelectMany(p => p.Rings),
        _ => [],
    };
}
