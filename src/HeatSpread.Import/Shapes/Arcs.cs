using HeatSpread.Boards;

namespace HeatSpread.Import.Shapes;

/// <summary>
/// Circles and arcs as chains of chords. The inner vertices lie slightly outside the arc, so that the enclosed area is exactly that of the arc and
/// the distance between arc and chain stays under <see cref="ChordError"/>.
/// </summary>
internal static class Arcs
{
    /// <summary>mm.</summary>
    public const double ChordError = 0.002;

    private const int MaxSegments = 4096;

    /// <summary>A polygon of the circle's area, counter-clockwise, first vertex to the right.</summary>
    public static IReadOnlyList<Point> Circle(Point center, double diameter)
    {
        double radius = diameter / 2;
        int count = Math.Max(32, (Segments(radius, 2 * Math.PI) + 3) / 4 * 4);
        double step = 2 * Math.PI / count;
        double outer = radius * Math.Sqrt(step / Math.Sin(step));
        var ring = new Point[count];
        for (int i = 0; i < count; i++) ring[i] = At(center, outer, i * step);
        return ring;
    }

    /// <summary>Appends the chain after <paramref name="start"/> (which is left out) up to and with <paramref name="end"/>.</summary>
    /// <param name="path">Gains the points.</param>
    /// <param name="start">On the arc.</param>
    /// <param name="end">On the arc; its radius may differ from the start's, then the radius changes evenly along the arc.</param>
    /// <param name="center">Of the arc.</param>
    /// <param name="sweep">Radians, positive counter-clockwise.</param>
    public static void Append(List<Point> path, Point start, Point end, Point center, double sweep)
    {
        double startRadius = Distance(start, center), endRadius = Distance(end, center);
        int count = Segments(Math.Max(startRadius, endRadius), Math.Abs(sweep));
        double first = Math.Atan2(start.Y - center.Y, start.X - center.X), step = sweep / count;
        double grow = InnerGrowth(count, Math.Abs(step));
        for (int i = 1; i < count; i++)
        {
            double radius = startRadius + (endRadius - startRadius) * i / count;
            path.Add(At(center, radius * grow, first + i * step));
        }
        path.Add(end);
    }

    /// <summary>Radians from start to end about the center, in (0, 2π] counter-clockwise or [-2π, 0) clockwise; equal ends make a full circle.</summary>
    public static double Sweep(Point start, Point end, Point center, bool clockwise)
    {
        double turn = Math.Atan2(end.Y - center.Y, end.X - center.X) - Math.Atan2(start.Y - center.Y, start.X - center.X);
        if (start == end) turn = 0;
        if (clockwise) return turn >= 0 ? turn - 2 * Math.PI : turn;
        return turn <= 0 ? turn + 2 * Math.PI : turn;
    }

    public static double Distance(Point a, Point b) => Math.Sqrt((a.X - b.X) * (a.X - b.X) + (a.Y - b.Y) * (a.Y - b.Y));

    /// <summary>
    /// How far out the inner vertices go so that area is kept while both ends stay: with n chords of angle t and inner radius g·r the sectors sum to
    /// (sin t / 2)(2g + (n - 2)g²) = n t / 2.
    /// </summary>
    private static double InnerGrowth(int count, double step)
    {
        if (count < 2 || step <= 1e-9) return 1;
        double target = count * step / Math.Sin(step), n = count - 2;
        return n == 0 ? target / 2 : (-1 + Math.Sqrt(1 + n * target)) / n;
    }

    private static int Segments(double radius, double angle)
    {
        if (radius <= ChordError) return Math.Max(1, (int)Math.Ceiling(angle / (Math.PI / 3)));
        double step = Math.Min(2 * Math.Acos(1 - ChordError / radius), Math.PI / 6);
        return (int)Math.Clamp(Math.Ceiling(angle / step), 1, MaxSegments);
    }

    private static Point At(Point center, double radius, double angle)
    {
        var (sin, cos) = Math.SinCos(angle);
        return new Point(Lengths.Round(center.X + radius * cos), Lengths.Round(center.Y + radius * sin));
    }
}
