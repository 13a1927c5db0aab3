using System.Runtime.InteropServices;
using HeatSpread.Boards;
using HeatSpread.Import.Shapes;

namespace HeatSpread.Import.Connectivity;

/// <summary>The stretch of a scan line that an element covers.</summary>
internal readonly record struct Span(int Line, int Element, double X0, double X1);

/// <summary>Cuts painted shapes by horizontal lines, exactly in x.</summary>
internal sealed class SpanCutter
{
    private readonly double bottom;
    private readonly double pitch;
    private readonly int lines;
    private readonly Span[] spans;
    private readonly int[] starts;
    private readonly List<Span> found = [];
    private readonly List<(int Line, double X)> crossings = [];

    /// <param name="elements">To cut.</param>
    /// <param name="bottom">y of line 0, mm.</param>
    /// <param name="pitch">Between lines, mm.</param>
    /// <param name="lines">Number of lines.</param>
    public SpanCutter(IReadOnlyList<PaintedShape> elements, double bottom, double pitch, int lines)
    {
        (this.bottom, this.pitch, this.lines) = (bottom, pitch, lines);
        for (int i = 0; i < elements.Count; i++)
        {
            if (elements[i].Shape is StrokeShape stroke) CutStroke(i, stroke);
            else foreach (var polygon in ((AreaShape)elements[i].Shape).Polygons) CutPolygon(i, polygon);
        }
        (spans, starts) = SortByLine();
    }

    /// <summary>The spans of one line, sorted by their left ends.</summary>
    public ReadOnlySpan<Span> Line(int line)
    {
        var slice = spans.AsSpan(starts[line], starts[line + 1] - starts[line]);
        slice.Sort((a, b) => a.X0.CompareTo(b.X0));
        return slice;
    }

    public static Box Bounds(Shape shape)
    {
        var box = Box.Empty;
        if (shape is StrokeShape stroke)
        {
            foreach (var p in stroke.Path) box = box.Include(p);
            return box.Grow(stroke.Width / 2);
        }
        foreach (var polygon in ((AreaShape)shape).Polygons)
        {
            foreach (var p in polygon.Outer) box = box.Include(p);
        }
        return box;
    }

    /// <summary>Height over which edges run, mm: over the pitch it is the number of crossings to be expected.</summary>
    public static double TotalHeight(IReadOnlyList<PaintedShape> elements)
    {
        double sum = 0;
        foreach (var element in elements)
        {
            if (element.Shape is StrokeShape stroke) sum += stroke.Path.Count * stroke.Width + Rise(stroke.Path);
            else sum += ((AreaShape)element.Shape).Polygons.Sum(p => p.Rings.Sum(Rise));
        }
        return sum;
    }

    private static double Rise(IReadOnlyList<Point> path)
    {
        double sum = 0;
        for (int i = 1; i < path.Count; i++) sum += Math.Abs(path[i].Y - path[i - 1].Y);
        return sum;
    }

    private int FirstLineFrom(double y) => (int)Math.Clamp(Math.Ceiling((y - bottom) / pitch), 0, lines);

    private double Y(int line) => bottom + line * pitch;

    private void CutStroke(int element, StrokeShape stroke)
    {
        double radius = stroke.Width / 2;
        if (radius <= 0) return;
        for (int i = 0; i < Math.Max(1, stroke.Path.Count - 1); i++)
        {
            var (a, b) = (stroke.Path[i], stroke.Path[Math.Min(i + 1, stroke.Path.Count - 1)]);
            int last = FirstLineFrom(Math.Max(a.Y, b.Y) + radius);
            for (int line = FirstLineFrom(Math.Min(a.Y, b.Y) - radius); line < last; line++)
            {
                var (x0, x1) = CapsuleSpan(a, b, radius, Y(line));
                if (x1 > x0) found.Add(new Span(line, element, x0, x1));
            }
        }
    }

    /// <summary>What a line at <paramref name="y"/> cuts from a segment with round ends: a convex shape, so one stretch.</summary>
    private static (double X0, double X1) CapsuleSpan(Point a, Point b, double radius, double y)
    {
        double x0 = double.PositiveInfinity, x1 = double.NegativeInfinity;
        IncludeDisc(a);
        IncludeDisc(b);
        double length = Arcs.Distance(a, b);
        if (length > 0)
        {
            double nx = -(b.Y - a.Y) / length * radius, ny = (b.X - a.X) / length * radius;
            IncludeEdge(a.X + nx, a.Y + ny, b.X + nx, b.Y + ny);
            IncludeEdge(a.X - nx, a.Y - ny, b.X - nx, b.Y - ny);
        }
        return (x0, x1);

        void IncludeDisc(Point center)
        {
            double half = radius * radius - (y - center.Y) * (y - center.Y);
            if (half < 0) return;
            half = Math.Sqrt(half);
            x0 = Math.Min(x0, center.X - half);
            x1 = Math.Max(x1, center.X + half);
        }

        void IncludeEdge(double px, double py, double qx, double qy)
        {
            if (py > y == qy > y) return;
            double x = px + (qx - px) * (y - py) / (qy - py);
            x0 = Math.Min(x0, x);
            x1 = Math.Max(x1, x);
        }
    }

    private void CutPolygon(int element, Polygon polygon)
    {
        crossings.Clear();
        AddCrossings(polygon.Outer);
        foreach (var hole in polygon.Holes) AddCrossings(hole);
        CollectionsMarshal.AsSpan(crossings).Sort((p, q) => p.Line != q.Line ? p.Line.CompareTo(q.Line) : p.X.CompareTo(q.X));
        for (int i = 0; i + 1 < crossings.Count; i += 2)
        {
            if (crossings[i + 1].X > crossings[i].X) found.Add(new Span(crossings[i].Line, element, crossings[i].X, crossings[i + 1].X));
        }
    }

    private void AddCrossings(IReadOnlyList<Point> ring)
    {
        for (int i = 0; i < ring.Count; i++)
        {
            var (a, b) = (ring[i], ring[i + 1 == ring.Count ? 0 : i + 1]);
            int first = FirstLineFrom(Math.Min(a.Y, b.Y)), last = FirstLineFrom(Math.Max(a.Y, b.Y)); // half open: each line meets a ring an even number of times
            for (int line = first; line < last; line++) crossings.Add((line, a.X + (b.X - a.X) * (Y(line) - a.Y) / (b.Y - a.Y)));
        }
    }

    private (Span[] Spans, int[] Starts) SortByLine()
    {
        var counts = new int[lines + 1];
        foreach (var span in found) counts[span.Line + 1]++;
        for (int i = 0; i < lines; i++) counts[i + 1] += counts[i];
        var next = counts.ToArray();
        var sorted = new Span[found.Count];
        foreach (var span in found) sorted[next[span.Line]++] = span;
        found.Clear();
        found.TrimExcess();
        return (sorted, counts);
    }
}
