namespace HeatSpread.Boards;

/// <summary>What the rings of one polygon must hold together, and the polygons of an outline.</summary>
internal sealed class RingChecks(double tolerance)
{
    private readonly RingSweep _sweep = new(tolerance);

    /// <summary>Faults by the number of the ring (0 is the outer one).</summary>
    public IReadOnlyList<(int Ring, string Detail)> Check(Polygon polygon)
    {
        if (polygon.Holes.Count == 0 && ConvexRing.IsStrictlyConvex(polygon.Outer) && EnclosesArea(polygon.Outer)) return [];
        IReadOnlyList<Point>[] rings = [.. polygon.Rings];
        if (_sweep.FindCrossing(rings) is { } crossing) return [Describe(crossing, rings)];
        var faults = new List<(int, string)>();
        for (int i = 0; i < rings.Length; i++)
        {
            if (!EnclosesArea(rings[i])) faults.Add((i, "A ring must enclose an area; this one encloses none."));
            else if (i > 0 && _sweep.Containers[i] != 0) faults.Add((i, DescribeStray(_sweep.Containers[i], rings[i])));
        }
        return faults;
    }

    private bool EnclosesArea(IReadOnlyList<Point> ring) => Math.Abs(Polygon.SignedArea(ring)) > tolerance * tolerance;

    /// <summary>A sentence on two polygons of a region that lie over each other; null where all lie apart.</summary>
    public string? FindOverlap(Region region)
    {
        if (region.Polygons.Count < 2) return null;
        var rings = region.Polygons.SelectMany((polygon, i) => polygon.Rings.Select((ring, j) => (Ring: ring, Polygon: i, IsHole: j > 0))).ToList();
        if (_sweep.FindCrossing([.. rings.Select(ring => ring.Ring)]) is { } crossing)
            return Overlap(rings[crossing.RingA].Polygon, rings[crossing.RingB].Polygon, crossing.At);
        for (int i = 0; i < rings.Count; i++)
        {
            int container = _sweep.Containers[i];
            if (container >= 0 && !rings[i].IsHole && !rings[container].IsHole) return Overlap(rings[i].Polygon, rings[container].Polygon, rings[i].Ring[0]);
        }
        return null;
    }

    private static string Overlap(int a, int b, Point at) =>
        $"The polygons of the outline must lie apart; polygons {Math.Min(a, b)} and {Math.Max(a, b)} overlap at {Place(at)}.";

    private static (int Ring, string Detail) Describe(RingCrossing crossing, IReadOnlyList<Point>[] rings)
    {
        var (a, b) = (Edge(rings[crossing.RingA], crossing.EdgeA), Edge(rings[crossing.RingB], crossing.EdgeB));
        if (crossing.EdgeA > crossing.EdgeB) (a, b) = (b, a);
        return crossing.RingA == crossing.RingB
            ? (crossing.RingA, $"A ring must not cross itself; {a} and {b} cross at {Place(crossing.At)}.")
            : (Math.Max(crossing.RingA, crossing.RingB), $"Rings of a polygon must not cross; this one and ring {Math.Min(crossing.RingA, crossing.RingB)} cross at {Place(crossing.At)}.");
    }

    /// <summary>To a millionth of the unit: it is where edges meet, not a position of the document.</summary>
    private static string Place(Point p) => Phrase.Of(new Point(Math.Round(p.X, 6), Math.Round(p.Y, 6)));

    private static string Edge(IReadOnlyList<Point> ring, int index) =>
        $"edge {index}, from {Phrase.Of(ring[index])} to {Phrase.Of(ring[(index + 1) % ring.Count])},";

    private static string DescribeStray(int container, IReadOnlyList<Point> ring) => container < 0
        ? $"A hole must lie inside the outer ring; this one, at {Phrase.Of(ring[0])}, lies outside it."
        : $"A hole must not lie inside another hole; this one, at {Phrase.Of(ring[0])}, lies inside ring {container}.";
}
