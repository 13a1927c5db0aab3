using NetTopologySuite.Algorithm;

namespace HeatSpread.Boards;

/// <summary>On which side of a line a point lies, told right even where rounding would tell it wrong.</summary>
internal static class Orientation
{
    /// <summary>Bound on the relative error of the plain determinant: Shewchuk, "Adaptive Precision Floating-Point Arithmetic", 1997, (3 + 16 ε) ε.</summary>
    private const double ErrorBound = 3.3306690738754716e-16;

    /// <summary>1 where <paramref name="p"/> lies left of the way from <paramref name="a"/> to <paramref name="b"/>, -1 right of it, 0 on its line.</summary>
    public static int Of(Point a, Point b, Point p)
    {
        double left = (a.X - p.X) * (b.Y - p.Y), right = (a.Y - p.Y) * (b.X - p.X), determinant = left - right;
        if (Math.Abs(determinant) > ErrorBound * (Math.Abs(left) + Math.Abs(right))) return Math.Sign(determinant);
        if (left == 0 && right == 0) return 0;
        return CGAlgorithmsDD.OrientationIndex(a.X, a.Y, b.X, b.Y, p.X, p.Y);
    }

    /// <summary>Distance of a point from a segment.</summary>
    public static double Distance(Point p, Point a, Point b)
    {
        double dx = b.X - a.X, dy = b.Y - a.Y, length2 = dx * dx + dy * dy;
        double t = length2 > 0 ? Math.Clamp(((p.X - a.X) * dx + (p.Y - a.Y) * dy) / length2, 0, 1) : 0;
        return double.Hypot(p.X - a.X - t * dx, p.Y - a.Y - t * dy);
    }
}
