using HeatSpread.Boards;
using HeatSpread.Import.Shapes;

namespace HeatSpread.Import.Connectivity;

/// <summary>One painted element of a layer.</summary>
internal readonly record struct PaintedShape(Shape Shape, bool IsDark);

/// <summary>
/// The connected pieces of one layer's copper. The layer is cut by horizontal lines close together; on each line the paint is resolved exactly in x,
/// and stretches of copper that overlap on neighbouring lines belong together. Gaps wider than the distance of the lines separate.
/// </summary>
internal sealed class LayerScan
{
    private const double FinePitch = 0.02;
    private const double CoarsePitch = 0.04;
    private const double EasySpans = 2e6;
    private const double MaxSpans = 8e6;
    private const double TouchTolerance = 1e-6;

    /// <summary>Elements that show on a run, kept until the end: 8 bytes each.</summary>
    private const int MaxPieces = 20_000_000;

    private const int ListedPieces = 16;

    private readonly IReadOnlyList<PaintedShape> elements;
    private readonly double pitch;
    private readonly double bottom;
    private readonly int lines;
    private readonly DisjointSets sets = new();
    private readonly List<double> runLengths = [];
    private readonly int[] lastRun;
    private readonly bool[] isOnePiece;
    private readonly List<(int Element, int Run)> pieces = [];
    private List<Run> previous = [];
    private List<Run> runs = [];
    private readonly List<(double X, int Element, bool Opens)> events = [];
    private readonly List<int> active = [];
    private long stepsLeft;

    private LayerScan(IReadOnlyList<PaintedShape> elements, long maxSteps)
    {
        this.elements = elements;
        stepsLeft = maxSteps;
        var bounds = Box.Empty;
        foreach (var element in elements) bounds = bounds.Include(SpanCutter.Bounds(element.Shape));
        double height = SpanCutter.TotalHeight(elements);
        pitch = Math.Max(Math.Clamp(height / EasySpans, FinePitch, CoarsePitch), height / MaxSpans);
        bottom = bounds.MinY - pitch * 0.371; // off the grids that coordinates lie on
        lines = elements.Count == 0 ? 0 : (int)Math.Min(2e6, Math.Ceiling((bounds.MaxY - bottom) / pitch) + 1);
        lastRun = new int[elements.Count];
        Array.Fill(lastRun, -1);
        isOnePiece = new bool[elements.Count];
        int lastClear = -1;
        for (int i = 0; i < elements.Count; i++) lastClear = elements[i].IsDark ? lastClear : i;
        for (int i = lastClear + 1; i < elements.Count; i++) isOnePiece[i] = elements[i].Shape is StrokeShape or AreaShape { Polygons.Count: 1 } or AreaShape { CenterLine: not null };
    }

    private readonly record struct Run(double X0, double X1, int Id);

    /// <summary>Number of connected pieces.</summary>
    public int Count { get; private set; }

    /// <summary>mm², of each piece, to the accuracy of the lines.</summary>
    public double[] Areas { get; private set; } = [];

    /// <summary>The pieces that show each element, without repeats; none for one that is cleared or covered wholly.</summary>
    public IReadOnlyList<int>[] PiecesOfElement { get; private set; } = [];

    /// <summary>The piece at each of the places asked for, -1 where there is no copper.</summary>
    public int[] PieceAt { get; private set; } = [];

    /// <summary>
    /// The scan was ended before its time. The spans on all lines are bounded, but not how many of them lie on each other: among n spans that overlap, clears can show
    /// all dark ones below them n times over, so the work is n² on each line.
    /// </summary>
    public bool IsTooEntangled => stepsLeft <= 0 || pieces.Count > MaxPieces;

    /// <param name="elements">Of one layer, in order of painting.</param>
    /// <param name="places">Asked for, mm.</param>
    /// <param name="maxSteps">Looks at a span under another's end, on all lines together; a nanosecond or two each.</param>
    /// <param name="cancellationToken">Checked between lines.</param>
    public static LayerScan Of(IReadOnlyList<PaintedShape> elements, IReadOnlyList<Point> places, long maxSteps, CancellationToken cancellationToken)
    {
        var scan = new LayerScan(elements, maxSteps);
        scan.Scan(places, cancellationToken);
        return scan;
    }

    private void Scan(IReadOnlyList<Point> places, CancellationToken cancellationToken)
    {
        PieceAt = new int[places.Count];
        Array.Fill(PieceAt, -1);
        var cutter = new SpanCutter(elements, bottom, pitch, lines);
        int[] placeOrder = [.. Enumerable.Range(0, places.Count).OrderBy(i => places[i].Y)];
        int nextPlace = 0;
        for (int line = 0; line < lines && !IsTooEntangled; line++)
        {
            if ((line & 63) == 0) cancellationToken.ThrowIfCancellationRequested();
            (previous, runs) = (runs, previous);
            runs.Clear();
            Resolve(cutter.Line(line));
            JoinWithPrevious();
            double upTo = bottom + (line + 0.5) * pitch;
            for (; nextPlace < placeOrder.Length && places[placeOrder[nextPlace]].Y <= upTo; nextPlace++)
            {
                PieceAt[placeOrder[nextPlace]] = places[placeOrder[nextPlace]].Y < upTo - pitch ? -1 : FindRun(places[placeOrder[nextPlace]].X);
            }
        }
        Number();
    }

    /// <summary>Finds where copper shows on one line, and which elements it is of.</summary>
    private void Resolve(ReadOnlySpan<Span> spans)
    {
        if (spans.Length == 0) return;
        foreach (var span in spans)
        {
            if (elements[span.Element].IsDark) continue;
            ResolveWithClears(spans);
            return;
        }
        double end = double.NegativeInfinity, start = 0;
        int id = -1;
        foreach (var span in spans) // sorted by their left ends
        {
            if (span.X0 > end + TouchTolerance)
            {
                CloseRun(start, end, id);
                (start, end, id) = (span.X0, span.X1, NewRun());
            }
            end = Math.Max(end, span.X1);
            Note(span.Element, id);
        }
        CloseRun(start, end, id);
    }

    /// <summary>Between two neighbouring ends of spans the topmost element decides; all dark ones above the topmost clear one show.</summary>
    private void ResolveWithClears(ReadOnlySpan<Span> spans)
    {
        events.Clear();
        active.Clear();
        foreach (var span in spans)
        {
            events.Add((span.X0, span.Element, true));
            events.Add((span.X1, span.Element, false));
        }
        events.Sort((a, b) => a.X.CompareTo(b.X));
        double start = 0, end = double.NegativeInfinity;
        int id = -1;
        for (int i = 0; i < events.Count && !IsTooEntangled; i++)
        {
            var (x, element, opens) = events[i];
            if (opens) active.Add(element);
            else active.Remove(element);
            stepsLeft -= 1 + active.Count;
            double next = i + 1 < events.Count ? events[i + 1].X : x;
            int topmost = -1, clear = -1;
            foreach (int e in active)
            {
                topmost = Math.Max(topmost, e);
                if (!elements[e].IsDark) clear = Math.Max(clear, e);
            }
            if (next - x <= 0 || topmost < 0 || topmost == clear) continue;
            if (x > end + TouchTolerance)
            {
                CloseRun(start, end, id);
                (start, id) = (x, NewRun());
            }
            end = next;
            foreach (int e in active)
            {
                if (e > clear) Note(e, id);
            }
        }
        CloseRun(start, end, id);
    }

    private int NewRun()
    {
        runLengths.Add(0);
        return sets.Add();
    }

    private void CloseRun(double start, double end, int id)
    {
        if (id < 0) return;
        runs.Add(new Run(start, end, id));
        runLengths[id] = end - start;
    }

    private void Note(int element, int run)
    {
        int last = lastRun[element];
        lastRun[element] = run;
        if (last == run) return;
        if (last < 0) pieces.Add((element, run));
        else if (isOnePiece[element]) sets.Join(last, run);
        else pieces.Add((element, run)); // joined or not is known at the end only
    }

    private void JoinWithPrevious()
    {
        for (int i = 0, j = 0; i < runs.Count && j < previous.Count;)
        {
            if (runs[i].X0 < previous[j].X1 && previous[j].X0 < runs[i].X1) sets.Join(runs[i].Id, previous[j].Id);
            if (runs[i].X1 < previous[j].X1) i++;
            else j++;
        }
    }

    private int FindRun(double x)
    {
        int low = 0, high = runs.Count - 1;
        while (low <= high)
        {
            int middle = (low + high) / 2;
            if (x < runs[middle].X0) high = middle - 1;
            else if (x > runs[middle].X1) low = middle + 1;
            else return runs[middle].Id;
        }
        return -1;
    }

    private void Number()
    {
        var numbers = new int[runLengths.Count];
        Array.Fill(numbers, -1);
        for (int run = 0; run < numbers.Length; run++)
        {
            int root = sets.Root(run);
            if (numbers[root] < 0) numbers[root] = Count++;
            numbers[run] = numbers[root];
        }
        Areas = new double[Count];
        for (int run = 0; run < numbers.Length; run++) Areas[numbers[run]] += runLengths[run] * pitch;
        var found = new List<int>?[elements.Count];
        var ofMany = new HashSet<(int, int)>(); // of elements in many pieces, each of which would be looked for in a long list
        foreach (var (element, run) in pieces)
        {
            var list = found[element] ??= [];
            if (list.Count < ListedPieces ? list.Contains(numbers[run]) : list.IndexOf(numbers[run], 0, ListedPieces) >= 0 || !ofMany.Add((element, numbers[run]))) continue;
            list.Add(numbers[run]);
        }
        PiecesOfElement = [.. found.Select(list => (IReadOnlyList<int>)(list ?? []))];
        for (int i = 0; i < PieceAt.Length; i++) PieceAt[i] = PieceAt[i] < 0 ? -1 : numbers[PieceAt[i]];
    }
}
