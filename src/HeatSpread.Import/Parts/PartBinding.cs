using System.Globalization;
using HeatSpread.Boards;
using HeatSpread.Import.Assembly;
using HeatSpread.Import.Connectivity;
using HeatSpread.Import.Gerber;
using HeatSpread.Import.Shapes;

namespace HeatSpread.Import.Parts;

/// <summary>
/// Completes the description's parts from the files: by the pins that the copper names, by the pins of a component layer, by the pads under a body,
/// or by the pads about a place in a placement file, whichever is there first.
/// </summary>
internal sealed class PartBinding
{
    private const int MaxUndescribedParts = 2000;

    private readonly FabricationData data;
    private readonly NetTracing nets;
    private readonly BoardArea board;
    private readonly ImportNotes notes;
    private readonly PinPads pins;
    private readonly PinHoles pinHoles;
    private readonly Dictionary<string, BoardComponent> components;
    private readonly Dictionary<int, PadFinder> finders = [];
    private readonly Dictionary<int, IReadOnlyDictionary<string, List<PadCandidate>>> shares = [];

    private PartBinding(FabricationData data, NetTracing nets, ImportNotes notes)
    {
        (this.data, this.nets, this.notes) = (data, nets, notes);
        board = new BoardArea(data.Outline);
        pins = new PinPads(data.Copper);
        pinHoles = new PinHoles(data);
        components = data.Components.GroupBy(c => c.Id, StringComparer.Ordinal).ToDictionary(g => g.Key, g => g.First(), StringComparer.Ordinal);
    }

    /// <summary>Where the description's own terminals lie: a net that they name is the net of the copper there, one that they do not name is asked for.</summary>
    /// <param name="parts">In mm.</param>
    /// <param name="layers">Number of copper layers.</param>
    public static IReadOnlyList<NetMark> Marks(IReadOnlyList<PartDocument> parts, int layers) =>
        [.. parts.SelectMany(p => p.Terminals.Select(t => new NetMark((t.Side ?? p.Side) == "bottom" ? layers - 1 : 0, t.Pad.Polygons.Count > 0 ? Places.Inside(t.Pad.Polygons[0]) : default, t.Net)))];

    /// <param name="parts">Of the description, in mm.</param>
    /// <param name="data">The board.</param>
    /// <param name="nets">Traced with <see cref="Marks"/> of the same parts, first.</param>
    /// <param name="notes">Gains a fault for each described part that nothing is known of.</param>
    public static IReadOnlyList<PartDocument> Bind(IReadOnlyList<PartDocument> parts, FabricationData data, NetTracing nets, ImportNotes notes)
    {
        var binding = new PartBinding(data, nets, notes);
        var bound = new List<PartDocument>();
        int mark = 0;
        for (int i = 0; i < parts.Count; i++)
        {
            var part = parts[i];
            var terminals = new List<TerminalDocument>();
            foreach (var terminal in part.Terminals)
            {
                terminals.Add(terminal.Net is null ? terminal with { Net = nets.NetOfMark(mark) } : terminal);
                mark++;
            }
            bound.Add(terminals.Count > 0 ? part with { Terminals = terminals } : binding.Complete(part, i));
        }
        if (data.AllComponentsAreParts) binding.AddUndescribed(parts, bound);
        return bound;
    }

    /// <summary>The file's other components, with no watts; conditions may give them some.</summary>
    private void AddUndescribed(IReadOnlyList<PartDocument> described, List<PartDocument> bound)
    {
        var known = described.Select(p => p.Id).ToHashSet(StringComparer.Ordinal);
        var rest = components.Values.Where(c => !known.Contains(c.Id)).ToList();
        if (rest.Count + bound.Count > MaxUndescribedParts)
        {
            notes.Warn($"the files name {components.Count} components, more than the {MaxUndescribedParts} parts that a layout may have; only those that the description names became parts");
            return;
        }
        var bare = new List<string>();
        foreach (var component in rest)
        {
            if (Find(new PartDocument { Id = component.Id, Side = component.Side ?? "top" }) is { } part) bound.Add(part);
            else bare.Add(component.Id);
        }
        if (bare.Count > 0) notes.Warn($"{bare.Count} components have no pads on the board and did not become parts: {string.Join(", ", bare.Take(40))}{(bare.Count > 40 ? "…" : "")}");
    }

    private PartDocument Complete(PartDocument part, int index)
    {
        if (Find(part) is { } found) return found;
        if (part.Body is null) notes.Fault(string.Create(CultureInfo.InvariantCulture, $"/parts/{index}/id"), Missing(part.Id));
        return part;
    }

    /// <summary>The part with side, terminals and body; null where no pads were found.</summary>
    private PartDocument? Find(PartDocument part)
    {
        components.TryGetValue(part.Id, out var component);
        string side = component?.Side ?? pins.Side(part.Id) ?? part.Side;
        int layer = side == "bottom" ? data.Copper.Layers.Count - 1 : 0;
        var terminals = Terminals(part, component, layer);
        if (terminals.Count == 0) return component?.Body is { } lone && part.Body is null && lone.Polygons.Any(p => p.Outer.Any(board.Holds)) ? part with { Side = side, Body = lone } : null;
        var body = part.Body ?? component?.Body;
        if (body is not null && !body.Bounds.Overlaps(data.Outline.Bounds)) body = null;
        if (body is not null) return part with { Side = side, Terminals = terminals, Body = body };
        notes.WarnOfMany("the body of part {0} is not in the files; the box around its pads was taken", part.Id);
        var box = terminals.Aggregate(Box.Empty, (b, t) => b.Include(t.Pad.Bounds));
        return part with { Side = side, Terminals = terminals, Body = new Region([new Polygon(Outlines.Rectangle(box.MinX, box.MinY, box.MaxX, box.MaxY))]) };
    }

    private List<TerminalDocument> Terminals(PartDocument part, BoardComponent? component, int layer)
    {
        var named = pins.Of(part.Id, layer);
        if (named.Count > 0) return ByPin(part.Id, named);
        var finder = Finder(layer);
        if (component is { Pins.Count: > 0 })
        {
            var placed = component.Pins.Select(p => (p.Name, Pad: finder.At(p.At))).Where(p => p.Pad is not null).Select(p => (p.Name, p.Pad!)).ToList();
            if (placed.Count > 0) return ByPin(part.Id, placed);
        }
        if ((part.Body ?? component?.Body) is { } body && finder.Under(body) is { Count: > 0 } under)
        {
            notes.WarnOfMany("the pads under the body of part {0} are its terminals, by net", part.Id);
            return ByNet(part.Id, under);
        }
        if (component?.At is null || part.Body is not null) return [];
        if (!shares.TryGetValue(layer, out var share)) shares[layer] = share = finder.Share([.. components.Values.Where(c => c.At is not null && (c.Side == "bottom") == (layer > 0)).Select(c => (c.Id, c.At!.Value))]);
        if (!share.TryGetValue(part.Id, out var pads)) return [];
        notes.WarnOfMany("the pads about the place of part {0} were taken for its own, by net; a 'body' in the description would say it for sure", part.Id);
        return ByNet(part.Id, pads);
    }

    private PadFinder Finder(int layer)
    {
        if (!finders.TryGetValue(layer, out var finder)) finders[layer] = finder = new PadFinder(data, layer);
        return finder;
    }

    private List<TerminalDocument> ByPin(string id, IEnumerable<(string Pin, PadCandidate Pad)> pads) =>
        [.. pads.GroupBy(p => p.Pin).Select(g => Terminal(id, g.Key, [.. g.Select(p => p.Pad)])).OfType<TerminalDocument>()];

    /// <summary>One terminal for each net; pads of no net each on its own.</summary>
    private List<TerminalDocument> ByNet(string id, IReadOnlyList<PadCandidate> pads) =>
        [.. pads.Select((p, i) => (Pad: p, Name: NetOf(p) ?? string.Create(CultureInfo.InvariantCulture, $"pad {i + 1}"))).GroupBy(p => p.Name).Select(g => Terminal(id, g.Key, [.. g.Select(p => p.Pad)])).OfType<TerminalDocument>()];

    private string? NetOf(PadCandidate pad) =>
        data.Copper.Layers[pad.Layer].Elements[pad.Element].Attributes.Net is { Length: > 0 } own ? own : nets.FirstNetOfElement(pad.Layer, pad.Element);

    private TerminalDocument? Terminal(string part, string name, List<PadCandidate> pads)
    {
        var bothSides = pinHoles.OnBothSides(pads);
        var polygons = bothSides?.ToList() ?? pads.SelectMany(p => Aperture.Polygons(data.Copper.Layers[p.Layer].Elements[p.Element].Shape)).ToList();
        if (polygons.Any(p => p.Outer.Any(v => !board.Holds(v))))
        {
            var kept = Overlay.Intersection(polygons, data.Outline.Polygons);
            if (kept.Count == 0 || kept.Sum(p => p.Area) < polygons.Sum(p => p.Area) * 0.9999) notes.WarnOfMany("pads of part {0} reach over the outline and were cut off there", part);
            polygons = [.. kept];
        }
        string? net = pads.Select(NetOf).FirstOrDefault(n => n is not null);
        return polygons.Count == 0 ? null : new TerminalDocument(name.Length > 0 ? name : "pad", net, new Region(polygons)) { Side = bothSides is null ? null : "both" };
    }

    private string Missing(string id)
    {
        string ask = "a 'body' or 'terminals' in the description, or a line in a placement file with headings like Ref, PosX, PosY, Rot, Side";
        string[] placements = [.. data.Components.Select(c => c.Source).Distinct()];
        if (components.ContainsKey(id)) return $"part '{id}' must have pads inside the outline on its side, and none were found there; give {ask.Replace(", or a line in a placement file with headings like Ref, PosX, PosY, Rot, Side", "", StringComparison.Ordinal)}";
        string known = placements.Length == 0 ? "there is no placement file" : $"{string.Join(", ", placements.Take(3))} does not name it";
        if (!data.Copper.HasPinAttributes) return $"the files name no pins (no .P attributes) and {known}, so part '{id}' must have {ask}";
        return $"must be a part that the files know by their pin attributes, or have {ask}; '{id}' is not among {pins.KnownParts()}";
    }
}
