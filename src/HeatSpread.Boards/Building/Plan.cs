namespace HeatSpread.Boards;

/// <summary>The plan of one layout: its unit, and the checks that every shape drawn in it must pass.</summary>
internal sealed class Plan
{
    private const double ToleranceMm = 1e-3;

    private readonly bool _isInch;
    private readonly double _extent;
    private readonly RingChecks _rings;

    public Plan(string unit, FaultCollector faults, LayoutLimits limits)
    {
        _isInch = unit == "inch";
        Faults = faults;
        Limits = limits;
        Tolerance = _isInch ? ToleranceMm / 25.4 : ToleranceMm;
        _extent = _isInch ? limits.ExtentMm / 25.4 : limits.ExtentMm;
        _rings = new RingChecks(Tolerance);
    }

    public FaultCollector Faults { get; }

    public LayoutLimits Limits { get; }

    /// <summary>1 µm in layout units: what lies closer than this touches.</summary>
    public double Tolerance { get; }

    public double ToMetres(double length) => _isInch ? length * 0.0254 : length / 1000;

    public Point ToMetres(Point p) => new(ToMetres(p.X), ToMetres(p.Y));

    public Region ToMetres(Region region) => region.Map(ToMetres);

    public IReadOnlyList<Point> ToMetres(IReadOnlyList<Point> points) => [.. points.Select(ToMetres)];

    /// <summary>Faults a region that is empty or beyond the extent, and each ring that crosses, encloses nothing or is not where it belongs.</summary>
    /// <returns>Whether the region is sound enough to be compared with others.</returns>
    public bool CheckRegion(Region region, JsonPointer at)
    {
        if (region.Polygons.Count == 0)
        {
            Faults.Add(at["coordinates"], "Must hold at least one polygon; it is empty.");
            return false;
        }
        bool sound = true;
        for (int i = 0; i < region.Polygons.Count; i++)
        {
            int polygon = i;
            sound &= CheckPolygon(region.Polygons[i], ring => Faults.RingOf(at, region.Polygons.Count, polygon, ring));
        }
        return sound;
    }

    /// <summary>A sentence on two polygons that lie over each other; null where all lie apart.</summary>
    public string? FindOverlap(Region region) => _rings.FindOverlap(region);

    /// <summary>Faults a position beyond the extent; false then, and for a stand-in.</summary>
    public bool CheckPosition(Point p, JsonPointer at)
    {
        if (double.IsNaN(p.X) || double.IsNaN(p.Y)) return false;
        if (Math.Abs(p.X) <= _extent && Math.Abs(p.Y) <= _extent) return true;
        Faults.Add(at, $"Coordinates must lie within ±{Phrase.Number(_extent)} (limit ExtentMm); found {Phrase.Of(p)}.");
        return false;
    }

    private bool CheckPolygon(Polygon polygon, Func<int, JsonPointer> pointerOf)
    {
        bool sound = true;
        int index = 0;
        foreach (var ring in polygon.Rings) sound &= CheckForm(ring, pointerOf(index++));
        if (!sound) return false;
        var found = _rings.Check(polygon);
        foreach (var fault in found) Faults.Add(pointerOf(fault.Ring), fault.Detail);
        return found.Count == 0;
    }

    private bool CheckForm(IReadOnlyList<Point> ring, JsonPointer at)
    {
        if (ring.Count < 3)
        {
            Faults.Add(at, $"A ring must have at least 3 different positions; found {ring.Count}.");
            return false;
        }
        for (int i = 0; i < ring.Count; i++)
            if (!(Math.Abs(ring[i].X) <= _extent && Math.Abs(ring[i].Y) <= _extent)) return CheckPosition(ring[i], at[i]);
        return true;
    }
}
