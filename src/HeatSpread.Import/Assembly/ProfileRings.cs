using System.Globalization;
using HeatSpread.Boards;
using HeatSpread.Import.Gerber;
using HeatSpread.Import.Shapes;

namespace HeatSpread.Import.Assembly;

/// <summary>The board's outline from the centre lines that a profile file draws: the outermost rings are board, rings inside them openings.</summary>
internal static class ProfileRings
{
    /// <summary>mm; each is tried before the next larger one.</summary>
    private static readonly double[] JoinTolerances = [0.002, 0.02, 0.1, 0.5];

    private const double SilentTolerance = 0.02;

    /// <summary>Null where no ring closes (a fault then says so).</summary>
    public static Region? Trace(string file, IEnumerable<GraphicObject> objects, Box copper, ImportLimits limits, ImportNotes notes)
    {
        var lines = new List<IReadOnlyList<Point>>();
        var rings = new List<IReadOnlyList<Point>>();
        foreach (var item in objects.Where(o => o.IsDark && o.Kind != ObjectKind.Flash)) Collect(item, lines, rings);
        rings.AddRange(Join(file, lines, notes));
        var polygons = new List<Polygon>();
        foreach (var ring in rings)
        {
            if (Contours.Fill(ring, limits.MaxCrossings, out bool repaired) is not { } filled) continue;
            if (repaired) notes.Warn($"{file}: an outline touches or crosses itself; it was filled by the non-zero winding rule");
            polygons.AddRange(filled);
        }
        if (polygons.Count == 0)
        {
            notes.FileFault(file, "line 1, column 1: the profile must draw a closed outline, and none was found; the description may give the outline instead");
            return null;
        }
        return Nest(file, polygons, copper, notes);
    }

    private static void Collect(GraphicObject item, List<IReadOnlyList<Point>> lines, List<IReadOnlyList<Point>> rings)
    {
        switch (item.Shape)
        {
            case StrokeShape { Path.Count: > 1 } stroke: lines.Add(stroke.Path); break;
            case AreaShape { CenterLine: { Count: > 1 } line }: lines.Add(line); break;
            case AreaShape area when item.Kind == ObjectKind.Region: rings.AddRange(area.Polygons.SelectMany(p => p.Rings)); break;
            default: break;
        }
    }

    private static List<List<Point>> Join(string file, List<IReadOnlyList<Point>> lines, ImportNotes notes)
    {
        if (lines.Count == 0) return [];
        var best = new LineJoin([], int.MaxValue);
        foreach (double tolerance in JoinTolerances)
        {
            var joined = LineJoin.Of(lines, tolerance);
            if (joined.OpenChains >= best.OpenChains) continue;
            best = joined;
            if (tolerance > SilentTolerance && joined.OpenChains == 0) notes.Warn(string.Create(CultureInfo.InvariantCulture, $"{file}: gaps of the outline up to {tolerance} mm were closed"));
            if (joined.OpenChains == 0) break;
        }
        if (best.OpenChains > 0) notes.Warn($"{file}: {best.OpenChains} lines do not close to a ring and were left out of the outline");
        return [.. best.Rings];
    }

    private static Region? Nest(string file, List<Polygon> polygons, Box copper, ImportNotes notes)
    {
        var sorted = polygons.OrderByDescending(p => p.Area).ToList();
        for (int i = sorted.Count - 1; i > 0; i--)
        {
            if (sorted.Take(i).Any(p => IsSame(p, sorted[i]))) sorted.RemoveAt(i); // drawn twice
        }
        int[] parents = [.. sorted.Select((p, i) => Enumerable.Range(0, i).LastOrDefault(j => Contains(sorted[j].Outer, p.Outer), -1))];
        int[] depths = new int[sorted.Count];
        for (int i = 0; i < depths.Length; i++) depths[i] = parents[i] < 0 ? 0 : depths[parents[i]] + 1;
        var board = new List<Polygon>();
        for (int i = 0; i < sorted.Count; i++)
        {
            if (depths[i] % 2 == 1) continue;
            int here = i;
            var openings = Enumerable.Range(0, sorted.Count).Where(j => parents[j] == here).Select(j => sorted[j].Outer);
            board.Add(new Polygon(sorted[i].Outer, [.. sorted[i].Holes, .. openings]));
        }
        var onCopper = board.Where(p => p.Bounds.Overlaps(copper)).ToList();
        if (onCopper.Count == 0 || onCopper.Count == board.Count) return new Region(board);
        notes.Warn($"{file}: outlines away from all copper were left out ({board.Count - onCopper.Count} of {board.Count})");
        return new Region(onCopper);
    }

    private static bool IsSame(Polygon a, Polygon b)
    {
        var (p, q) = (a.Bounds, b.Bounds);
        double size = p.Width + p.Height;
        return Math.Abs(a.Area - b.Area) < 1e-6 * a.Area && Math.Abs(p.MinX - q.MinX) + Math.Abs(p.MinY - q.MinY) + Math.Abs(p.MaxX - q.MaxX) + Math.Abs(p.MaxY - q.MaxY) < 1e-6 * size;
    }

    private static bool Contains(IReadOnlyList<Point> outer, IReadOnlyList<Point> inner)
    {
        int inside = inner.Take(50).Count(p => Places.IsInside(outer, p));
        return 2 * inside > Math.Min(inner.Count, 50);
    }
}
