using HeatSpread.Boards;
using HeatSpread.Import.Assembly;
using HeatSpread.Import.Connectivity;
using HeatSpread.Import.Gerber;
using HeatSpread.Import.Shapes;

namespace HeatSpread.Import.Parts;

/// <summary>A shape of an outer layer that a part may be soldered to.</summary>
/// <param name="Layer">Index of the copper layer.</param>
/// <param name="Element">Index of the element.</param>
/// <param name="Bounds">mm.</param>
internal sealed record PadCandidate(int Layer, int Element, Box Bounds)
{
    public Point Center { get; } = Bounds.Centre;
}

/// <summary>
/// Pads of one side of a board whose copper does not say what belongs to which part: flashes (and small regions, as some programs paint rounded
/// pads) that are no via's.
/// </summary>
internal sealed class PadFinder
{
    private const double Cell = 1;
    private const double LargestRegion = 15;
    private const double LargestVia = 0.55;
    private const double PlaceTolerance = 0.03;
    private const double FarthestPin = 40;

    private readonly List<PadCandidate> pads = [];
    private readonly Dictionary<(int, int), List<PadCandidate>> cells = [];

    public PadFinder(FabricationData data, int layer)
    {
        var vias = data.Holes.Where(h => !h.IsSlot && h.IsPlated && h.Diameter <= LargestVia).Select(h => Key(h.Path[0], 0.05)).ToHashSet();
        var elements = data.Copper.Layers[layer].Elements;
        for (int i = 0; i < elements.Count; i++)
        {
            if (!IsPad(elements[i])) continue;
            var pad = new PadCandidate(layer, i, SpanCutter.Bounds(elements[i].Shape));
            bool isVia = elements[i] is { Shape: StrokeShape { Path.Count: 1 }, Attributes.Function: null } && vias.Contains(Key(pad.Center, 0.05));
            if (isVia || elements[i].Kind == ObjectKind.Region && Math.Max(pad.Bounds.Width, pad.Bounds.Height) > LargestRegion) continue;
            pads.Add(pad);
            var cell = Key(pad.Center, Cell);
            if (!cells.TryGetValue(cell, out var list)) cells[cell] = list = [];
            list.Add(pad);
        }
    }

    /// <summary>Pads whose centre lies on a body.</summary>
    public IReadOnlyList<PadCandidate> Under(Region body) => [.. pads.Where(p => p.Bounds.Overlaps(body.Bounds) && Places.IsInside(body, p.Center))];

    /// <summary>The pad on a place; null where there is none.</summary>
    public PadCandidate? At(Point place) => Near(place, 2)
        .Where(p => p.Bounds.Holds(place))
        .MinBy(p => Arcs.Distance(p.Center, place));

    /// <summary>
    /// Shares pads out among parts of which only the centres are known. Most footprints look the same turned by half a turn, so a pad belongs to the
    /// part about whose centre it has a twin of its size, the nearest such part first; parts left without get the pads about them that none took.
    /// </summary>
    public IReadOnlyDictionary<string, List<PadCandidate>> Share(IReadOnlyList<(string Id, Point At)> parts)
    {
        var pairs = new List<(double Distance, string Id, PadCandidate Pad)>();
        foreach (var (id, at) in parts)
        {
            foreach (var pad in Near(at, (int)FarthestPin).Where(p => Arcs.Distance(p.Center, at) <= FarthestPin))
            {
                var twin = new Point(2 * at.X - pad.Center.X, 2 * at.Y - pad.Center.Y);
                if (Near(twin, 1).Any(p => Arcs.Distance(p.Center, twin) <= PlaceTolerance && IsTwin(p, pad))) pairs.Add((Arcs.Distance(pad.Center, at), id, pad));
            }
        }
        var shared = new Dictionary<string, List<PadCandidate>>(StringComparer.Ordinal);
        var taken = new HashSet<PadCandidate>(ReferenceEqualityComparer.Instance);
        foreach (var (_, id, pad) in pairs.OrderBy(p => p.Distance).ThenBy(p => p.Id, StringComparer.Ordinal))
        {
            if (taken.Add(pad)) Add(shared, id, pad);
        }
        GiveTheRest([.. parts.Where(p => !shared.ContainsKey(p.Id))], taken, shared);
        return shared;
    }

    /// <summary>A pad beside a lone centre: where the box of what is near has its middle near the centre, it is taken for the footprint.</summary>
    private void GiveTheRest(IReadOnlyList<(string Id, Point At)> parts, HashSet<PadCandidate> taken, Dictionary<string, List<PadCandidate>> shared)
    {
        const double Reach = 6;
        var free = new Dictionary<string, List<PadCandidate>>(StringComparer.Ordinal);
        foreach (var pad in pads.Where(p => !taken.Contains(p)))
        {
            var (id, at) = parts.DefaultIfEmpty().MinBy(p => p.Id is null ? double.MaxValue : Arcs.Distance(p.At, pad.Center));
            if (id is not null && Arcs.Distance(at, pad.Center) <= Reach) Add(free, id, pad);
        }
        foreach (var (id, at) in parts)
        {
            if (!free.TryGetValue(id, out var found)) continue;
            var box = found.Aggregate(Box.Empty, (b, p) => b.Include(p.Bounds));
            double off = Arcs.Distance(at, box.Centre);
            if (off <= 0.3 * Math.Max(box.Width, box.Height)) shared[id] = found;
        }
    }

    private static void Add(Dictionary<string, List<PadCandidate>> lists, string id, PadCandidate pad)
    {
        if (!lists.TryGetValue(id, out var list)) lists[id] = list = [];
        list.Add(pad);
    }

    private static bool IsTwin(PadCandidate a, PadCandidate b) =>
        Math.Abs(a.Bounds.Width - b.Bounds.Width) < PlaceTolerance && Math.Abs(a.Bounds.Height - b.Bounds.Height) < PlaceTolerance;

    private static bool IsPad(GraphicObject item)
    {
        if (!item.IsDark || item.Kind == ObjectKind.Draw || item.Shape is StrokeShape { Width: <= 0 } or AreaShape { Polygons.Count: 0 }) return false;
        if (item.Attributes.Function is not { } function) return item.Kind == ObjectKind.Flash || item.Attributes.Net is null;
        return function.StartsWith("SMDPad", StringComparison.Ordinal) || function.StartsWith("ComponentPad", StringComparison.Ordinal) || function.StartsWith("HeatsinkPad", StringComparison.Ordinal) || function.StartsWith("BGAPad", StringComparison.Ordinal) || function.StartsWith("ConnectorPad", StringComparison.Ordinal) || function.StartsWith("CastellatedPad", StringComparison.Ordinal);
    }

    private static (int, int) Key(Point p, double size) => ((int)Math.Floor(p.X / size), (int)Math.Floor(p.Y / size));

    private IEnumerable<PadCandidate> Near(Point place, int reach)
    {
        var (column, row) = Key(place, Cell);
        if ((2 * reach + 1) * (2 * reach + 1) > cells.Count) return pads.Where(p => Math.Abs(p.Center.X - place.X) <= reach + 1 && Math.Abs(p.Center.Y - place.Y) <= reach + 1);
        return Enumerable.Range(column - reach, 2 * reach + 1).SelectMany(c => Enumerable.Range(row - reach, 2 * reach + 1).Select(r => cells.GetValueOrDefault((c, r)))).OfType<List<PadCandidate>>().SelectMany(list => list);
    }
}
