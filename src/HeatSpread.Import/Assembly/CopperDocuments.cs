using HeatSpread.Boards;
using HeatSpread.Import.Connectivity;
using HeatSpread.Import.Gerber;
using HeatSpread.Import.Shapes;

namespace HeatSpread.Import.Assembly;

/// <summary>Writes painted layers as the layout's copper, each piece with its net.</summary>
internal static class CopperDocuments
{
    public static IReadOnlyList<CopperDocument> Make(BoardCopper copper, NetTracing nets, ImportNotes notes, CancellationToken cancellationToken)
    {
        var documents = new List<CopperDocument>();
        int split = 0;
        for (int layer = 0; layer < copper.Layers.Count; layer++)
        {
            cancellationToken.ThrowIfCancellationRequested();
            split += AddLayer(documents, copper, nets, layer, cancellationToken);
        }
        if (split > 0) notes.Warn($"{split} painted areas are cut by later clears into pieces of different nets; each piece became an area of its own");
        return documents;
    }

    private static int AddLayer(List<CopperDocument> documents, BoardCopper copper, NetTracing nets, int layer, CancellationToken cancellationToken)
    {
        var elements = copper.Layers[layer].Elements;
        string name = copper.Layers[layer].Name;
        var pieces = new Dictionary<int, IReadOnlyList<Polygon>>();
        for (int i = 0; i < elements.Count; i++)
        {
            if (elements[i].IsDark && OwnNet(elements[i]) is null && nets.NetsOfElement(layer, i).Count > 1) pieces[i] = Cut(elements, i);
        }
        var places = pieces.OrderBy(p => p.Key).SelectMany(p => p.Value).Select(Places.Inside).ToList();
        var netsOfPieces = new Queue<string?>(places.Count > 0 ? nets.NetsAt(layer, places, cancellationToken) : []);
        for (int i = 0; i < elements.Count; i++)
        {
            if (pieces.TryGetValue(i, out var cut))
            {
                foreach (var byNet in cut.GroupBy(_ => netsOfPieces.Dequeue() ?? "").ToList())
                {
                    documents.Add(new CopperDocument { Layer = name, Net = byNet.Key.Length == 0 ? null : byNet.Key, Area = new Region([.. byNet]) });
                }
                continue;
            }
            string? net = elements[i].IsDark ? OwnNet(elements[i]) ?? nets.FirstNetOfElement(layer, i) : null;
            documents.Add(Document(name, elements[i], net));
        }
        return pieces.Count;
    }

    private static string? OwnNet(GraphicObject item) => item.Attributes.Net is { Length: > 0 } net ? net : null;

    private static CopperDocument Document(string layer, GraphicObject item, string? net) => item.Shape switch
    {
        StrokeShape stroke => new CopperDocument { Layer = layer, Net = net, Clear = !item.IsDark, Track = new TrackDocument(stroke.Path, stroke.Width) },
        AreaShape area => new CopperDocument { Layer = layer, Net = net, Clear = !item.IsDark, Area = new Region(area.Polygons) },
        _ => throw new ArgumentException("a shape is a stroke or an area", nameof(item)),
    };

    /// <summary>What later clears leave of an element.</summary>
    private static IReadOnlyList<Polygon> Cut(IReadOnlyList<GraphicObject> elements, int index)
    {
        var bounds = SpanCutter.Bounds(elements[index].Shape);
        var taken = elements.Skip(index + 1).Where(e => !e.IsDark).Select(e => e.Shape).Where(s => SpanCutter.Bounds(s).Overlaps(bounds)).SelectMany(Aperture.Polygons).ToList();
        var area = Overlay.Union(Aperture.Polygons(elements[index].Shape));
        return Overlay.Difference(area, taken);
    }
}
