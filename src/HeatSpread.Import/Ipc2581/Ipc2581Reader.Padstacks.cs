using HeatSpread.Boards;
using HeatSpread.Import.Gerber;
using HeatSpread.Import.Shapes;

namespace HeatSpread.Import.Ipc2581;

/// <summary>
/// What each placed padstack lists of itself: some writers give pads, nets and spans of holes nowhere else, and beside it a drill guide with the bare holes;
/// others repeat here what the layers paint.
/// </summary>
internal sealed partial class Ipc2581Reader
{
    /// <summary>Two lists of the same holes may round differently, mm.</summary>
    private const double SamePlace = 0.002;

    private void AddPadstacks(IpcStep board)
    {
        var holes = OneOfEach(board.Holes);
        var paintedPins = board.Objects.SelectMany(layer => layer.Value.SelectMany(o => o.Attributes.Pins).Select(pin => (layer.Key, pin.Part, pin.Pin))).ToHashSet();
        foreach (var padstack in board.PlacedPadstacks)
        {
            string? net = NetName(padstack.Text("net"));
            foreach (var hole in padstack.Named("LayerHole")) AddPadstackHole(hole, net, holes);
            AddPadstackPads(padstack, net, board, paintedPins);
        }
        board.Holes.Clear();
        board.Holes.AddRange(holes.Values);
    }

    private static (long X, long Y) Cell(Point at) => ((long)Math.Round(at.X / SamePlace), (long)Math.Round(at.Y / SamePlace));

    private Dictionary<(long X, long Y), IpcHole> OneOfEach(List<IpcHole> holes)
    {
        var places = new Dictionary<(long X, long Y), IpcHole>(holes.Count);
        foreach (var hole in holes) Add(hole, places);
        if (places.Count < holes.Count) notes.Warn(0, $"lists {holes.Count - places.Count} holes more than once; each was taken once");
        return places;
    }

    /// <summary>A hole, or what it adds to the one that is listed at its place: of several drill layers, drawings and padstacks the widest counts, with whatever net and span one of them gives.</summary>
    private void Add(IpcHole hole, Dictionary<(long X, long Y), IpcHole> holes)
    {
        var key = KeyOf(hole.At, holes);
        var span = SpanOf(hole);
        // Blind and buried holes may follow each other down one axis: other spans are other holes.
        while (holes.TryGetValue(key, out var other) && SpanOf(other) is var listedSpan && listedSpan != span && listedSpan != (null, null) && span != (null, null)) key.X += 1L << 40;
        if (!holes.TryGetValue(key, out var listed)) holes[key] = hole;
        else holes[key] = (hole.Diameter > listed.Diameter ? hole : listed) with { Net = listed.Net ?? hole.Net, Layer = SpanOf(listed) == (null, null) ? hole.Layer : listed.Layer };
    }

    private (string? From, string? To) SpanOf(IpcHole hole) => layers.GetValueOrDefault(hole.Layer) is { } drill ? (drill.SpanFrom, drill.SpanTo) : (null, null);

    /// <summary>Of the hole at a place or a neighbouring one of the lattice, or else its own.</summary>
    private static (long X, long Y) KeyOf(Point at, Dictionary<(long X, long Y), IpcHole> places)
    {
        var own = Cell(at);
        for (long dx = -1; dx <= 1; dx++)
        {
            for (long dy = -1; dy <= 1; dy++)
            {
                if (places.TryGetValue((own.X + dx, own.Y + dy), out var near) && Arcs.Distance(near.At, at) <= SamePlace) return (own.X + dx, own.Y + dy);
            }
        }
        return own;
    }

    private void AddPadstackHole(XmlPart hole, string? net, Dictionary<(long X, long Y), IpcHole> holes)
    {
        double diameter = hole.Length("diameter", unit);
        if (diameter <= 0) return;
        if (holes.Count >= limits.MaxHoles) throw hole.Unreadable($"is one hole more than the {limits.MaxHoles} that a document may make");
        var at = hole.Child("Location")?.Place(unit) ?? hole.Place(unit);
        var span = hole.Child("Span");
        string name = $"{span?.Text("fromLayer")}\n{span?.Text("toLayer")}";
        if (span is not null) layers.TryAdd(name, new LayerInfo(name, "DRILL", "ALL", false, span.Text("fromLayer"), span.Text("toLayer")));
        Add(new IpcHole(at, Lengths.Round(diameter), IsPlated(hole), net, name), holes);
    }

    private void AddPadstackPads(XmlPart padstack, string? net, IpcStep board, HashSet<(string Layer, string Part, string Pin)> paintedPins)
    {
        set = new SetInfo(net, true, null, null);
        foreach (var pad in padstack.Named("LayerPad"))
        {
            if (!layers.TryGetValue(pad.Text("layerRef") ?? "", out layer) || !layer.IsCopper) continue;
            var pins = Pins(pad);
            if (pins.Count > 0 && pins.TrueForAll(pin => paintedPins.Contains((layer.Name, pin.Part, pin.Pin)))) continue;
            if (!board.Objects.TryGetValue(layer.Name, out target)) board.Objects[layer.Name] = target = [];
            AddShapes(Shapes(pad), pins, ObjectKind.Flash);
        }
    }
}
