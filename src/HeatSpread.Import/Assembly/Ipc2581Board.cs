using HeatSpread.Boards;
using HeatSpread.Import.Connectivity;
using HeatSpread.Import.Gerber;
using HeatSpread.Import.Ipc2581;
using HeatSpread.Import.Shapes;

namespace HeatSpread.Import.Assembly;

/// <summary>The board from an IPC-2581 document.</summary>
internal sealed class Ipc2581Board
{
    private readonly Ipc2581Document document;
    private readonly string file;
    private readonly FabricationDescription description;
    private readonly ImportLimits limits;
    private readonly ImportNotes notes;
    private readonly IReadOnlyList<string> layers;

    private Ipc2581Board(Ipc2581Document document, string file, FabricationDescription description, ImportLimits limits, ImportNotes notes)
    {
        (this.document, this.file, this.description, this.limits, this.notes) = (document, file, description, limits, notes);
        layers = Ipc2581Stack.CopperOrder(document);
    }

    /// <summary>Null where faults were found.</summary>
    public static FabricationData? Read(FabricationFile file, FabricationDescription description, ImportLimits limits, ImportNotes notes, CancellationToken cancellationToken)
    {
        Ipc2581Document? document = null;
        notes.ReadFile(file.Name, fileNotes => document = Ipc2581Reader.Read(file.Content, fileNotes, limits, cancellationToken));
        return document is null ? null : new Ipc2581Board(document, file.Name, description, limits, notes).Assemble();
    }

    private FabricationData? Assemble()
    {
        if (layers.Count == 0)
        {
            notes.FileFault(file, "line 1, column 1: the document must declare a copper layer at least (layerFunction CONDUCTOR, SIGNAL, PLANE or MIXED), and none was found");
            return null;
        }
        var stack = description.Stack ?? Ipc2581Stack.Rows(document, layers, file, notes);
        var names = StackRows.CopperNames(stack);
        if (names.Count != layers.Count)
        {
            notes.Fault("/stack", $"there must be one copper row for each of the {layers.Count} copper layers of {file} ({string.Join(", ", layers)}); {names.Count} were found ({string.Join(", ", names)})");
            return null;
        }
        if (Outline() is not { } profile) return null;
        var holes = Holes();
        BoardDrilling.LeaveOutWhatIsOffTheBoard(holes, profile, notes);
        var outline = BoardDrilling.CutSlots(profile, holes, notes);
        var copper = new BoardCopper([.. layers.Select((layer, i) => Paint(layer, names[i], outline))]);
        foreach (var bare in copper.Layers.Where(l => l.Elements.Count == 0)) notes.Warn($"{file}: layer {bare.Name} has no copper features; it is bare");
        return new FabricationData
        {
            Stack = stack,
            Names = names,
            Outline = outline,
            Copper = copper,
            Holes = holes,
            Components = [.. document.Step.Components.Select(c => Component(c, copper))],
            AllComponentsAreParts = true,
            NetPoints = copper.HasNetAttributes ? [] : [.. document.Step.NetPoints.Select(p => new NetMark(layers.ToList().IndexOf(p.Layer), p.At, p.Net)).Where(m => m.Layer >= 0)],
        };
    }

    private PaintedLayer Paint(string layer, string name, Region outline)
    {
        IEnumerable<GraphicObject> painted = document.Step.Objects.GetValueOrDefault(layer) ?? [];
        painted = painted.Where(o => o.Shape is StrokeShape { Width: > 0 } or AreaShape { Polygons.Count: > 0 });
        if (document.Layers.First(l => l.Name == layer).IsNegative)
        {
            notes.Warn($"{file}: layer {layer} is negative; the whole board is copper where it draws nothing");
            var background = outline.Polygons.Select(p => new GraphicObject(ObjectKind.Region, new AreaShape([p]), true, ObjectAttributes.None));
            painted = background.Concat(painted.Select(o => o with { IsDark = !o.IsDark }));
        }
        return new PaintedLayer(name, file, [.. painted]);
    }

    private Region? Outline()
    {
        if (description.Outline is { } given) return given;
        var outer = document.Step.ProfileOuter.SelectMany(Filled).ToList();
        if (outer.Count > 0)
        {
            var cutouts = document.Step.ProfileCutouts.SelectMany(Filled).ToList();
            return new Region(Overlay.Difference(Overlay.Union(outer), cutouts));
        }
        var drawn = document.Layers.Where(l => l.Function == "BOARD_OUTLINE").SelectMany(l => document.Step.Objects.GetValueOrDefault(l.Name) ?? []).ToList();
        if (drawn.Count > 0)
        {
            notes.Warn($"{file}: has no profile; the outline was traced from its outline layer");
            return ProfileRings.Trace(file, drawn, Box.Empty, limits, notes);
        }
        notes.Fault("/outline", $"there must be an outline, in the description or as a <Profile> of the step '{document.Step.Name}' in {file}; none was found");
        return null;
    }

    private IReadOnlyList<Polygon> Filled(IReadOnlyList<Point> ring)
    {
        var filled = Contours.Fill(ring, limits.MaxCrossings, out bool repaired);
        if (repaired) notes.Warn($"{file}: the profile touches or crosses itself; it was filled by the non-zero winding rule");
        return filled ?? [];
    }

    private List<BoardHole> Holes()
    {
        var holes = new List<BoardHole>();
        foreach (var hole in document.Step.Holes)
        {
            var (from, to) = Span(hole.Layer);
            holes.Add(new BoardHole([hole.At], hole.Diameter, hole.IsPlated, from, to) { Net = hole.IsPlated ? hole.Net : null });
        }
        foreach (var slot in document.Step.Slots)
        {
            var (from, to) = Span(slot.Layer);
            if (slot.Shape is StrokeShape stroke && SlotWalls.Outline(stroke.Path, stroke.Width) is { } cut)
            {
                holes.Add(new BoardHole(stroke.Path, stroke.Width, slot.IsPlated, from, to) { Outline = cut, Net = slot.IsPlated ? slot.Net : null });
                continue;
            }
            var outline = Overlay.Union(Aperture.Polygons(slot.Shape)).MaxBy(p => p.Area);
            if (outline is not null) holes.Add(new BoardHole([Places.Inside(outline)], 0, slot.IsPlated, from, to) { Outline = outline, Net = slot.IsPlated ? slot.Net : null });
        }
        return holes;
    }

    /// <summary>Copper layers that a drill layer joins; a span may end at a layer that is no copper (a mask), then at the copper next to it.</summary>
    private (int From, int To) Span(string drillLayer)
    {
        var layer = document.Layers.FirstOrDefault(l => l.Name == drillLayer);
        int last = layers.Count - 1;
        if (layer?.SpanFrom is null || layer.SpanTo is null) return (0, last);
        int a = Position(layer.SpanFrom), b = Position(layer.SpanTo);
        if (a >= 0 && b >= 0) return (Math.Min(a, b), Math.Max(a, b));
        notes.Warn($"{file}: drill layer '{drillLayer}' spans '{layer.SpanFrom}' to '{layer.SpanTo}', which are not both layers of the stack; its holes were taken through the whole board");
        return (0, last);
    }

    private int Position(string name)
    {
        int copper = layers.ToList().IndexOf(name);
        if (copper >= 0) return copper;
        var rows = document.Stack.Select(r => r.Layer).ToList();
        int row = rows.IndexOf(name);
        if (row < 0) return -1;
        int above = rows.Take(row).Count(layers.Contains); // copper layers above it
        return Math.Clamp(row < rows.Count / 2 ? above : above - 1, 0, layers.Count - 1);
    }

    private BoardComponent Component(IpcComponent component, BoardCopper copper)
    {
        string? side = Side(component.Layer);
        var package = document.Step.Packages.GetValueOrDefault(component.Package);
        var transform = ComponentPlacement.Find(component, package, copper, side == "bottom" ? layers.Count - 1 : 0);
        Region? body = null;
        if (package is { Body.Count: > 2 } && Contours.Fill(transform.Apply(package.Body), limits.MaxCrossings, out _) is { Count: > 0 } filled) body = new Region(filled);
        if (document.Unpopulated.Contains(component.Id) && description.Parts.Any(p => p.Id == component.Id && p.Watts > 0)) notes.Warn($"{file}: part {component.Id} has watts, and the bill of materials says that it is not populated");
        return new BoardComponent(component.Id, side, component.At)
        {
            RotationDegrees = component.Xform?.Number("rotation") ?? 0,
            Body = body,
            Pins = package is null ? [] : [.. package.Pins.Select(p => (p.Name, transform.Apply(p.At)))],
            Source = file,
        };
    }

    private string? Side(string layer)
    {
        int copper = layers.ToList().IndexOf(layer);
        if (copper >= 0 && layers.Count > 1) return copper == layers.Count - 1 ? "bottom" : copper == 0 ? "top" : null;
        return document.Layers.FirstOrDefault(l => l.Name == layer)?.Side switch { "BOTTOM" => "bottom", "TOP" => "top", _ => null };
    }
}
