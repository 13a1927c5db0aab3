using HeatSpread.Boards;
using HeatSpread.Import.Shapes;

namespace HeatSpread.Import.Ipc2581;

/// <summary>Open lines with the three kinds of ends; joints are round.</summary>
internal static class Strokes
{
    public static Shape Make(IReadOnlyList<Point> path, LineStyle style)
    {
        Point[] points = [.. path.Where((p, i) => i == 0 || p != path[i - 1])];
        if (style.End == LineEnd.Round || style.Width <= 0) return new StrokeShape(points, Lengths.Round(style.Width));
        if (points.Length == 1)
        {
            var square = Outlines.Rectangle(style.Width, style.Width);
            return new AreaShape(style.End == LineEnd.Square ? [new Polygon(PlaneTransform.Shift(points[0].X, points[0].Y).Apply(square))] : [], points);
        }
        var line = points.ToArray();
        if (style.End == LineEnd.Square)
        {
            points[0] = Beyond(line[1], line[0], style.Width / 2);
            points[^1] = Beyond(line[^2], line[^1], style.Width / 2);
        }
        var pieces = new List<Polygon>();
        for (int i = 1; i < points.Length; i++)
        {
            pieces.Add(new Polygon(Outlines.Line(points[i - 1], points[i], style.Width)));
            if (i + 1 < points.Length) pieces.Add(new Polygon(Arcs.Circle(points[i], style.Width)));
        }
        return new AreaShape(pieces, line);
    }

    private static Point Beyond(Point from, Point end, double distance)
    {
        double length = Arcs.Distance(from, end);
        return new Point(Lengths.Round(end.X + (end.X - from.X) / length * distance), Lengths.Round(end.Y + (end.Y - from.Y) / length * distance));
    }
}
