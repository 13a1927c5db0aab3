using System.Globalization;
using HeatSpread.Boards;
using HeatSpread.Import.Connectivity;
using HeatSpread.Import.Gerber;
using HeatSpread.Import.Shapes;

namespace HeatSpread.Import.Assembly;

/// <summary>Completes the description's parts from the pin attributes of the copper files.</summary>
internal sealed class PartBinding
{
    private readonly BoardCopper copper;
    private readonly ImportNotes notes;
    private readonly Dictionary<string, List<Pad>> pads = new(StringComparer.Ordinal);

    private PartBinding(BoardCopper copper, ImportNotes notes)
    {
        (this.copper, this.notes) = (copper, notes);
        for (int layer = 0; layer < copper.Layers.Count; layer++)
        {
            var elements = copper.Layers[layer].Elements;
            for (int i = 0; i < elements.Count; i++)
            {
                foreach (var pin in elements[i].IsDark ? elements[i].Attributes.Pins : [])
                {
                    if (!pads.TryGetValue(pin.Part, out var ofPart)) pads[pin.Part] = ofPart = [];
                    ofPart.Add(new Pad(layer, i, pin.Pin, elements[i]));
                }
            }
        }
    }

    private sealed record Pad(int Layer, int Element, string Pin, GraphicObject Item);

    /// <summary>Where the description's own terminals lie: a net that they name is the net of the copper there, one that they do not name is asked for.</summary>
    /// <param name="parts">In mm.</param>
    /// <param name="layers">Number of copper layers.</param>
    public static IReadOnlyList<NetMark> Marks(IReadOnlyList<PartDocument> parts, int layers) =>
        [.. parts.SelectMany(p => p.Terminals.Select(t => new NetMark((t.Side ?? p.Side) == "bottom" ? layers - 1 : 0, t.Pad.Polygons.Count > 0 ? Places.Inside(t.Pad.Polygons[0]) : default, t.Net)))];

    /// <param name="parts">Of the description, in mm.</param>
    /// <param name="copper">With pin attributes, if the files have them.</param>
    /// <param name="nets">Traced with <see cref="Marks"/> of the same parts.</param>
    /// <param name="outline">Pads are cut off at it.</param>
    /// <param name="notes">Gains a fault for each part that nothing is known of.</param>
    public static IReadOnlyList<PartDocument> Bind(IReadOnlyList<PartDocument> parts, BoardCopper copper, NetTracing nets, Region outline, ImportNotes notes)
    {
        var binding = new PartBinding(copper, notes);
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
            part = part with { Terminals = terminals };
            if (terminals.Count == 0) part = binding.FromPins(part, i, nets, outline);
            bound.Add(part);
        }
        return bound;
    }

    private PartDocument FromPins(PartDocument part, int index, NetTracing nets, Region outline)
    {
        if (!pads.TryGetValue(part.Id, out var found))
        {
            if (part.Body is null) notes.Fault(string.Create(CultureInfo.InvariantCulture, $"/parts/{index}/id"), Missing(part.Id));
            return part;
        }
        string side = Side(found) ?? part.Side;
        int layer = side == "bottom" ? copper.Layers.Count - 1 : 0;
        var terminals = found.Where(p => p.Layer == layer).GroupBy(p => p.Pin).Select(pin => Terminal(pin.Key, [.. pin], nets, outline)).OfType<TerminalDocument>().ToList();
        if (terminals.Count == 0)
        {
            notes.Fault(string.Create(CultureInfo.InvariantCulture, $"/parts/{index}/id"), $"part '{part.Id}' must have pads inside the outline on its {side} side, and its pins have none there");
            return part;
        }
        if (part.Body is not null) return part with { Side = side, Terminals = terminals };
        notes.Warn($"part {part.Id}: its body is not in the files; the box around its pads was taken");
        var box = terminals.Aggregate(Box.Empty, (b, t) => b.Include(t.Pad.Bounds));
        return part with { Side = side, Terminals = terminals, Body = new Region([new Polygon(Outlines.Rectangle(box.MinX, box.MinY, box.MaxX, box.MaxY))]) };
    }

    private string Missing(string id)
    {
        if (!copper.HasPinAttributes) return $"the files name no pins (no .P attributes), so part '{id}' must have a 'body' or 'terminals' in the description";
        var known = pads.Keys.Order(StringComparer.Ordinal).ToList();
        string some = string.Join(", ", known.Take(60)) + (known.Count > 60 ? $" and {known.Count - 60} more" : "");
        return $"must be a part that the files know by their pin attributes, or have a 'body' or 'terminals'; '{id}' is not among {some}";
    }

    /// <summary>The side on which alone the part has pads, or has its surface-mount pads; null where both sides have them alike.</summary>
    private string? Side(List<Pad> found)
    {
        int bottom = copper.Layers.Count - 1;
        if (bottom == 0) return null;
        return OneSide(found) ?? OneSide([.. found.Where(p => p.Item.Attributes.Function?.StartsWith("SMDPad", StringComparison.Ordinal) == true)]);

        string? OneSide(List<Pad> some)
        {
            bool onTop = some.Any(p => p.Layer == 0), onBottom = some.Any(p => p.Layer == bottom);
            return onTop == onBottom ? null : onTop ? "top" : "bottom";
        }
    }

    private TerminalDocument? Terminal(string pin, List<Pad> ofPin, NetTracing nets, Region outline)
    {
        var polygons = ofPin.SelectMany(p => Aperture.Polygons(p.Item.Shape)).ToList();
        if (polygons.Any(p => p.Outer.Any(v => !Places.IsInside(outline, v))))
        {
            var kept = Overlay.Intersection(polygons, outline.Polygons);
            if (kept.Count == 0 || kept.Sum(p => p.Area) < polygons.Sum(p => p.Area) * 0.9999) notes.Warn($"part {ofPin[0].Item.Attributes.Pins[0].Part}: the pad of pin {pin} reaches over the outline and was cut off there");
            polygons = [.. kept];
        }
        string? net = ofPin.Select(p => p.Item.Attributes.Net is { Length: > 0 } own ? own : nets.FirstNetOfElement(p.Layer, p.Element)).FirstOrDefault(n => n is not null);
        return polygons.Count == 0 ? null : new TerminalDocument(pin, net, new Region(polygons));
    }
}
