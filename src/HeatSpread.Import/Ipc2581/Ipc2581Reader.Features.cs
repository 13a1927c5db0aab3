using System.Xml;
using HeatSpread.Import.Connectivity;
using HeatSpread.Import.Gerber;
using HeatSpread.Import.Shapes;

namespace HeatSpread.Import.Ipc2581;

/// <summary>The second pass: what the layers of one step paint, drill and rout.</summary>
internal sealed partial class Ipc2581Reader
{
    private readonly Dictionary<(string? Net, string? Part, string? Usage), ObjectAttributes> attributeSets = [];
    private LayerInfo? layer;
    private List<GraphicObject>? target;
    private SetInfo set;
    private long paintedPoints;
    private long paintedObjects;

    /// <summary>What a set says of its features.</summary>
    private readonly record struct SetInfo(string? Net, bool IsDark, string? Part, string? Usage);

    private bool? Paint(XmlReader xml, List<string> open, IpcStep board)
    {
        switch (xml.LocalName)
        {
            case "Content" or "LogisticHeader" or "HistoryRecord" or "Bom" or "Avl" or "CadHeader" or "Layer" or "Stackup": return null;
            case "Step": return xml.GetAttribute("name") == board.Name || board.Name.Length == 0 ? false : null;
            case "LayerFeature": return Enter(xml, board) ? false : null;
            case "Set":
                set = new SetInfo(NetName(xml.GetAttribute("net")), xml.GetAttribute("polarity") != "NEGATIVE", xml.GetAttribute("componentRef"), xml.GetAttribute("padUsage"));
                return false;
            case "IPC-2581" or "Ecad" or "CadData": return false;
            default:
                if (open.Count == 0 || open[^1] != "Set") return null;
                Obey(ReadWhole(xml), board);
                return true;
        }
    }

    /// <summary>Whether the layer's features matter.</summary>
    private bool Enter(XmlReader xml, IpcStep board)
    {
        string name = xml.GetAttribute("layerRef") ?? "";
        if (!layers.TryGetValue(name, out layer))
        {
            notes.Warn(XmlPart.Place(xml).Line, $"has features on layer '{name}', which it does not declare; they were passed over");
            return false;
        }
        if (!layer.IsCopper && !layer.IsDrilling && layer.Function is not "BOARD_OUTLINE") return false;
        if (!board.Objects.TryGetValue(name, out target)) board.Objects[name] = target = [];
        return true;
    }

    private static string? NetName(string? net) => net is null or "" || net.Equals("No Net", StringComparison.OrdinalIgnoreCase) || net.Equals("NoNet", StringComparison.OrdinalIgnoreCase) ? null : net;

    private void Obey(XmlPart part, IpcStep board)
    {
        switch (part.Name)
        {
            case "Pad": AddPad(part, board); break;
            case "Features" when !layer!.IsDrilling: AddShapes(Shapes(part), [], ObjectKind.Draw); break;
            case "Features" when layer!.Function == "ROUT": AddRoute(part, board); break;
            case "Features": notes.Warn(part.Line, "has lines on its drill layers that are no slots; they were passed over"); break;
            case "Hole": AddHole(part, board); break;
            case "SlotCavity" or "Slot": AddSlot(part, board); break;
            case "Fiducial" or "GlobalFiducial" or "LocalFiducial" or "GoodPanelMark" or "BadBoardMark" or "TestPoint": AddShapes(Shapes(part), Pins(part), ObjectKind.Flash); break;
            case "NonstandardAttribute" or "ColorRef" or "SpecRef" or "Span": break;
            default: notes.Warn(part.Line, $"has <{part.Name}> among its features, which is unknown and was passed over"); break;
        }
    }

    /// <summary>What an element's shapes paint at its place.</summary>
    private IReadOnlyList<PaintedShape> Shapes(XmlPart part)
    {
        var shapes = part.Children.SelectMany(c => primitives.Build(c, unit));
        return Placement.Of(part, unit) is { } transform ? [.. shapes.Select(s => s with { Shape = s.Shape.Transform(transform) })] : [.. shapes];
    }

    private void AddPad(XmlPart pad, IpcStep board)
    {
        if (layer!.IsDrilling) return;
        var shapes = Shapes(pad);
        var pins = Pins(pad);
        if (shapes.Count == 0 && !pad.Children.Exists(c => c.Name.EndsWith("PrimitiveRef", StringComparison.Ordinal)))
        {
            string padstack = pad.Text("padstackDefRef") ?? "";
            if (!board.Padstacks.TryGetValue(padstack, out var pads) || !pads.TryGetValue(layer.Name, out var shape))
            {
                notes.Warn(pad.Line, $"has pads without a shape, of padstacks that have none on {layer.Name}; they were left out");
                return;
            }
            shapes = Shapes(shape);
            if (Placement.Of(pad, unit) is { } transform) shapes = [.. shapes.Select(s => s with { Shape = s.Shape.Transform(transform) })];
        }
        AddShapes(shapes, pins, ObjectKind.Flash, pins.Count > 0 ? board.NetOfPin.GetValueOrDefault((pins[0].Part, pins[0].Pin)) : null);
    }

    private static List<PinReference> Pins(XmlPart part) =>
        [.. part.Named("PinRef").Where(p => p.Text("componentRef") is not null && p.Text("pin") is not null).Select(p => new PinReference(p.Text("componentRef")!, p.Text("pin")!, p.Text("title")))];

    private void AddShapes(IReadOnlyList<PaintedShape> shapes, IReadOnlyList<PinReference> pins, ObjectKind kind, string? netOfPin = null)
    {
        foreach (var (shape, isDark) in shapes)
        {
            paintedPoints += shape.PointCount;
            if (++paintedObjects > limits.MaxObjects) throw new UnreadableFileException(1, 1, $"a document may paint {limits.MaxObjects} objects at most, and this one has more");
            if (paintedPoints > limits.MaxPoints) throw new UnreadableFileException(1, 1, $"a document may paint {limits.MaxPoints} points at most, and this one has more");
            target!.Add(new GraphicObject(kind, shape, isDark == set.IsDark, Attributes(set.Net ?? NetName(netOfPin), pins)));
        }
    }

    private ObjectAttributes Attributes(string? net, IReadOnlyList<PinReference> pins)
    {
        string? usage = set.Usage == "VIA" ? "ViaPad" : null;
        if (pins.Count > 0) return new ObjectAttributes(net, pins, set.Part, usage);
        var key = (net, set.Part, usage);
        if (!attributeSets.TryGetValue(key, out var attributes)) attributeSets[key] = attributes = new ObjectAttributes(net, [], set.Part, usage);
        return attributes;
    }

    private static bool IsPlated(XmlPart part) => part.Text("platingStatus") is not ("NONPLATED" or "NON_PLATED" or "UNPLATED");

    private void AddHole(XmlPart hole, IpcStep board)
    {
        if (board.Holes.Count >= limits.MaxHoles) throw hole.Unreadable($"is one hole more than the {limits.MaxHoles} that a document may make");
        double diameter = hole.Length("diameter", unit);
        if (diameter <= 0)
        {
            notes.Warn(hole.Line, "has holes without a diameter, which were left out");
            return;
        }
        var at = hole.Child("Location")?.Place(unit) ?? hole.Place(unit);
        board.Holes.Add(new IpcHole(at, Lengths.Round(diameter), IsPlated(hole), set.Net, layer!.Name));
    }

    private void AddSlot(XmlPart slot, IpcStep board)
    {
        if (board.Slots.Count >= limits.MaxHoles) throw slot.Unreadable($"is one slot more than the {limits.MaxHoles} that a document may make");
        var shapes = Shapes(slot).Select(s => s.Shape).Where(s => s is StrokeShape { Width: > 0 } or AreaShape { Polygons.Count: > 0 }).ToList();
        // The outline of a slot carries a line of no width; the shape alone is the slot.
        if (shapes.Count == 0) notes.Warn(slot.Line, "has slots without a shape, which were left out");
        foreach (var shape in shapes) board.Slots.Add(new IpcSlot(shape, IsPlated(slot), set.Net, layer!.Name));
    }

    /// <summary>What a rout layer draws is cut without plating: strokes by a tool of their width, areas and closed lines of no width as openings.</summary>
    private void AddRoute(XmlPart route, IpcStep board)
    {
        foreach (var (shape, _) in Shapes(route))
        {
            if (board.Slots.Count >= limits.MaxHoles) throw route.Unreadable($"is one route more than the {limits.MaxHoles} slots and routes that a document may make");
            if (shape is StrokeShape { Width: > 0 } or AreaShape { Polygons.Count: > 0 }) board.Slots.Add(new IpcSlot(shape, false, null, layer!.Name));
            else if (shape is StrokeShape { Path.Count: > 3 } line && Arcs.Distance(line.Path[0], line.Path[^1]) < 0.01 && Contours.Fill(line.Path, limits.MaxCrossings, out _) is { Count: > 0 } enclosed) board.Slots.Add(new IpcSlot(new AreaShape(enclosed), false, null, layer!.Name));
            else notes.Warn(route.Line, "has lines of no width on its rout layers that enclose nothing; they cut nothing");
        }
    }
}
