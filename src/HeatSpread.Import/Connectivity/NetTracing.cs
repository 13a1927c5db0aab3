using System.Globalization;
using HeatSpread.Boards;
using HeatSpread.Import.Assembly;
using HeatSpread.Import.Gerber;
using HeatSpread.Import.Shapes;

namespace HeatSpread.Import.Connectivity;

/// <summary>A place whose net is asked for, or given.</summary>
/// <param name="Layer">Index of the copper layer.</param>
/// <param name="At">mm.</param>
/// <param name="Net">A name that the description gives to the copper there; null to ask.</param>
internal sealed record NetMark(int Layer, Point At, string? Net)
{
    /// <summary>The name comes from a netlist, which goes before the description.</summary>
    public bool IsFromFiles { get; init; }
}

/// <summary>
/// Nets from the copper itself: what hangs together through copper and plated holes is one net. Names come from attributes and from the description;
/// copper without any is called NET1, NET2… by decreasing area, unless the files name their nets, for then it is of no net.
/// </summary>
internal sealed class NetTracing
{
    /// <summary>More pieces of copper without a name stay of no net: thieving dots, above all.</summary>
    private const int MaxMadeNames = 20_000;

    private const int RimPoints = 12;
    private const double RimOffset = 0.01;

    private readonly BoardCopper copper;
    private readonly IReadOnlyList<BoardHole> holes;
    private readonly IReadOnlyList<NetMark> marks;
    private readonly LayerScan[] scans;
    private readonly long stepsOfLayer;
    private readonly int[] layerStart;
    private readonly DisjointSets sets;
    private readonly int[] holePiece;
    private readonly int[] markPiece;
    private readonly Dictionary<int, Dictionary<string, int>> namesOfPiece = [];
    private readonly Dictionary<int, string> madeNames = [];
    private Dictionary<(long, long), string>? padNets;

    private NetTracing(BoardCopper copper, IReadOnlyList<BoardHole> holes, IReadOnlyList<NetMark> marks, long maxSteps, CancellationToken cancellationToken)
    {
        (this.copper, this.holes, this.marks) = (copper, holes, marks);
        scans = new LayerScan[copper.Layers.Count];
        stepsOfLayer = maxSteps / Math.Max(1, scans.Length);
        layerStart = new int[scans.Length + 1];
        holePiece = new int[holes.Count];
        markPiece = new int[marks.Count];
        Array.Fill(holePiece, -1);
        Array.Fill(markPiece, -1);
        var touching = new List<int>[holes.Count];
        for (int i = 0; i < touching.Length; i++) touching[i] = [];
        var asked = new AskedPlaces[scans.Length];
        for (int layer = 0; layer < scans.Length; layer++) asked[layer] = AskedOn(layer);
        Parallel.For(0, scans.Length, new ParallelOptions { CancellationToken = cancellationToken, MaxDegreeOfParallelism = Math.Min(4, Environment.ProcessorCount) },
            layer => scans[layer] = LayerScan.Of(copper.Layers[layer].Shapes, asked[layer].Places, stepsOfLayer, cancellationToken));
        for (int layer = 0; layer < scans.Length; layer++) Take(layer, asked[layer], touching);
        sets = new DisjointSets(layerStart[^1]);
        for (int i = 0; i < holes.Count; i++) JoinHole(i, touching[i]);
        CollectNames();
        MakeNames();
    }

    /// <summary>Names that share one piece of copper, each list once.</summary>
    public IReadOnlyList<IReadOnlyList<string>> Ties => [.. namesOfPiece.Values.Where(n => n.Count > 1).Select(n => n.Keys.Order(StringComparer.Ordinal).ToArray())];

    /// <summary>How many marks from files lie on copper.</summary>
    public int PointsOnCopper { get; private set; }

    /// <summary>Layers whose shapes lie on each other too often to be traced; the nets are then worth nothing.</summary>
    public IReadOnlyList<int> TooEntangled => [.. Enumerable.Range(0, scans.Length).Where(layer => scans[layer].IsTooEntangled)];

    /// <summary>Plated holes that touch no copper.</summary>
    public int LooseHoles => holePiece.Where((piece, i) => piece < 0 && holes[i].IsPlated).Count();

    public static NetTracing Trace(BoardCopper copper, IReadOnlyList<BoardHole> holes, IReadOnlyList<NetMark> marks, long maxSteps, CancellationToken cancellationToken) =>
        new(copper, holes, marks, maxSteps, cancellationToken);

    /// <summary>The net of a hole, null where it touches no copper or only copper of no net.</summary>
    /// <remarks>Where copper ties several named nets together, it is the net of the pad flashed on the hole.</remarks>
    public string? NetOfHole(int hole)
    {
        if (holes[hole].Net is { } named) return named;
        if (holePiece[hole] < 0) return null;
        bool isTied = namesOfPiece.TryGetValue(sets.Root(holePiece[hole]), out var names) && names.Count > 1;
        return isTied && PadNets.TryGetValue(Place(holes[hole].Path[0]), out string? net) ? net : NameOf(holePiece[hole]);
    }

    /// <summary>Nets of flashed pads by their centres.</summary>
    private Dictionary<(long, long), string> PadNets
    {
        get
        {
            if (padNets is not null) return padNets;
            padNets = [];
            foreach (var item in copper.Layers.SelectMany(l => l.Elements))
            {
                if (item is { Kind: ObjectKind.Flash, IsDark: true, Attributes.Net: { Length: > 0 } net, Shape: StrokeShape { Path.Count: 1 } disc }) padNets.TryAdd(Place(disc.Path[0]), net);
            }
            return padNets;
        }
    }

    public string? NetOfMark(int mark) => markPiece[mark] < 0 ? null : NameOf(markPiece[mark]);

    /// <summary>Nets of the pieces that show an element, without repeats.</summary>
    public IReadOnlyList<string?> NetsOfElement(int layer, int element) =>
        [.. scans[layer].PiecesOfElement[element].Select(piece => NameOf(layerStart[layer] + piece)).Distinct()];

    /// <summary>The net of the first piece that shows an element; null where there is none.</summary>
    public string? FirstNetOfElement(int layer, int element)
    {
        var pieces = scans[layer].PiecesOfElement[element];
        return pieces.Count == 0 ? null : NameOf(layerStart[layer] + pieces[0]);
    }

    /// <summary>Looks up the nets of places on one layer by a scan of it.</summary>
    public IReadOnlyList<string?> NetsAt(int layer, IReadOnlyList<Point> places, CancellationToken cancellationToken)
    {
        var scan = LayerScan.Of(copper.Layers[layer].Shapes, places, stepsOfLayer, cancellationToken); // numbers its pieces as the first scan did
        return [.. scan.PieceAt.Select(piece => piece < 0 ? null : NameOf(layerStart[layer] + piece))];
    }

    /// <param name="Places">First those about holes, then those of marks.</param>
    /// <param name="Owners">Holes of the first ones.</param>
    /// <param name="Marks">Indices of the marks.</param>
    private sealed record AskedPlaces(List<Point> Places, List<int> Owners, int[] Marks);

    private AskedPlaces AskedOn(int layer)
    {
        var places = new List<Point>();
        var owners = new List<int>();
        for (int i = 0; i < holes.Count; i++)
        {
            if (!holes[i].IsPlated || layer < holes[i].From || layer > holes[i].To) continue;
            foreach (var place in Rim(holes[i]))
            {
                places.Add(place);
                owners.Add(i);
            }
        }
        int[] here = [.. Enumerable.Range(0, marks.Count).Where(i => marks[i].Layer == layer)];
        places.AddRange(here.Select(i => marks[i].At));
        return new AskedPlaces(places, owners, here);
    }

    private void Take(int layer, AskedPlaces asked, List<int>[] touching)
    {
        var scan = scans[layer];
        layerStart[layer + 1] = layerStart[layer] + scan.Count;
        for (int i = 0; i < asked.Owners.Count; i++)
        {
            int piece = layerStart[layer] + scan.PieceAt[i];
            if (scan.PieceAt[i] >= 0 && !touching[asked.Owners[i]].Contains(piece)) touching[asked.Owners[i]].Add(piece);
        }
        for (int i = 0; i < asked.Marks.Length; i++)
        {
            int piece = scan.PieceAt[asked.Owners.Count + i];
            markPiece[asked.Marks[i]] = piece < 0 ? -1 : layerStart[layer] + piece;
        }
    }

    /// <summary>The centre of a hole and places just outside its wall.</summary>
    private static IEnumerable<Point> Rim(BoardHole hole)
    {
        if (hole.Outline is { } slot)
        {
            foreach (var place in SlotWalls.Rim(slot, RimOffset)) yield return place;
            yield break;
        }
        double radius = hole.Diameter / 2 + RimOffset;
        foreach (var center in hole.Path)
        {
            yield return center;
            for (int k = 0; k < RimPoints; k++)
            {
                var (sin, cos) = Math.SinCos(2 * Math.PI * k / RimPoints);
                yield return new Point(center.X + radius * cos, center.Y + radius * sin);
            }
        }
    }

    private void JoinHole(int hole, List<int> touching)
    {
        if (touching.Count == 0) return;
        holePiece[hole] = touching[0];
        foreach (int piece in touching) sets.Join(touching[0], piece);
    }

    private void CollectNames()
    {
        for (int layer = 0; layer < scans.Length; layer++)
        {
            var elements = copper.Layers[layer].Elements;
            for (int i = 0; i < elements.Count; i++)
            {
                if (elements[i] is not { IsDark: true, Attributes.Net: { Length: > 0 } net }) continue;
                foreach (int piece in scans[layer].PiecesOfElement[i]) AddName(layerStart[layer] + piece, net);
            }
        }
        // What the files say goes before what the description says.
        foreach (bool fromFiles in (bool[])[true, false])
        {
            var named = namesOfPiece.Keys.ToHashSet();
            for (int i = 0; i < marks.Count; i++)
            {
                if (marks[i].Net is not { } net || markPiece[i] < 0 || marks[i].IsFromFiles != fromFiles) continue;
                int root = sets.Root(markPiece[i]);
                if (fromFiles) PointsOnCopper++;
                if (!named.Contains(root)) AddName(markPiece[i], net);
            }
        }
        CollectNamesOfHoles();
    }

    /// <summary>A hole's own name counts where nothing else names its copper.</summary>
    private void CollectNamesOfHoles()
    {
        for (int i = 0; i < holes.Count; i++)
        {
            if (holes[i].Net is { } net && holePiece[i] >= 0 && !namesOfPiece.ContainsKey(sets.Root(holePiece[i]))) AddName(holePiece[i], net);
        }
    }

    private void AddName(int piece, string net)
    {
        int root = sets.Root(piece);
        if (!namesOfPiece.TryGetValue(root, out var names)) namesOfPiece[root] = names = [];
        names[net] = names.GetValueOrDefault(net) + 1;
    }

    private void MakeNames()
    {
        foreach (var (root, names) in namesOfPiece) madeNames[root] = names.OrderByDescending(n => n.Value).ThenBy(n => n.Key, StringComparer.Ordinal).First().Key;
        if (copper.HasNetAttributes) return;
        var areas = new Dictionary<int, double>();
        for (int layer = 0; layer < scans.Length; layer++)
        {
            for (int piece = 0; piece < scans[layer].Count; piece++)
            {
                int root = sets.Root(layerStart[layer] + piece);
                areas[root] = areas.GetValueOrDefault(root) + scans[layer].Areas[piece];
            }
        }
        var taken = madeNames.Values.ToHashSet(StringComparer.Ordinal);
        int number = 1;
        foreach (int root in areas.Where(a => !madeNames.ContainsKey(a.Key)).OrderByDescending(a => a.Value).ThenBy(a => a.Key).Select(a => a.Key).Take(MaxMadeNames))
        {
            string name;
            do name = string.Create(CultureInfo.InvariantCulture, $"NET{number++}");
            while (taken.Contains(name));
            madeNames[root] = name;
        }
    }

    private static (long, long) Place(Point p) => ((long)Math.Round(p.X * 200), (long)Math.Round(p.Y * 200));

    private string? NameOf(int piece) => madeNames.GetValueOrDefault(sets.Root(piece));
}
