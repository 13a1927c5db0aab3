namespace HeatSpread.Thermal.Raster;

/// <summary>Where level lines cross a capsule: the union of two discs and the strip between them, a convex shape.</summary>
internal static class CapsuleCrossing
{
    /// <summary>The crossings of the middle line, with those of the band's lower and upper line (the middle's own where those miss the shape).</summary>
    public static (Crossing Left, Crossing Right) At(in PaintShape shape, double low, double middle, double high)
    {
        var (left, right) = Extent(shape, middle);
        var (leftBelow, rightBelow) = Extent(shape, Math.Max(low, shape.MinY));
        var (leftAbove, rightAbove) = Extent(shape, Math.Min(high, shape.MaxY));
        // A curved side is replaced by the straight one of the same area (Simpson's rule over the band), tilted as the side is.
        return (Straighten(left, leftBelow, leftAbove), Straighten(right, rightBelow, rightAbove));
    }

    private static Crossing Straighten(double middle, double below, double above)
    {
        double shift = 2 * (middle - (below + above) / 2) / 3;
        return new Crossing(middle, below + shift, above + shift);
    }

    private static (double Left, double Right) Extent(in PaintShape shape, double y)
    {
        double left = double.PositiveInfinity, right = double.NegativeInfinity;
        var (a, b, r) = (shape.A, shape.B, shape.Radius);
        Disc(a.X, y - a.Y, r, ref left, ref right);
        Disc(b.X, y - b.Y, r, ref left, ref right);
        double dx = b.X - a.X, dy = b.Y - a.Y;
        if (dy != 0)
        {
            Side(a.X + shape.Side.X, a.Y + shape.Side.Y, dx, dy, y, ref left, ref right);
            Side(a.X - shape.Side.X, a.Y - shape.Side.Y, dx, dy, y, ref left, ref right);
        }
        return (left, right);
    }

    private static void Disc(double x, double offset, double r, ref double left, ref double right)
    {
        double square = r * r - offset * offset;
        if (square < -1e-12 * r * r) return;
        double half = Math.Sqrt(Math.Max(0, square));
        left = Math.Min(left, x - half);
        right = Math.Max(right, x + half);
    }

    private static void Side(double x, double y0, double dx, double dy, double y, ref double left, ref double right)
    {
        double along = (y - y0) / dy;
        if (along is < 0 or > 1) return;
        left = Math.Min(left, x + along * dx);
        right = Math.Max(right, x + along * dx);
    }
}
