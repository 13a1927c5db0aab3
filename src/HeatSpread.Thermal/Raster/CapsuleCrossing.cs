namespace HeatSpread.Thermal.Raster;

/// <summary>Where level lines cross a capsule: the union of two discs and the strip between them, a convex shape.</summary>
internal static class CapsuleCrossing
{
    /// <summary>The crossings of the middle line, with those of the band's lower and upper line (the middle's own where those miss the shape).</summary>
    public static (Crossing Left, Crossing Right) At(in PaintShape shape, double low, double middle, double high)
    {
        double slope = shape.B.Y > shape.A.Y ? (shape.B.X - shape.A.X) / (shape.B.Y - shape.A.Y) : 0, lean = Math.Abs(shape.Side.Y);
        if (low - lean >= shape.A.Y && high + lean <= shape.B.Y) return Straight(shape, slope, low - middle, middle - shape.A.Y, high - middle);
        var (left, right) = Extent(shape, slope, middle);
        var (leftBelow, rightBelow) = Extent(shape, slope, Math.Max(low, shape.MinY));
        var (leftAbove, rightAbove) = Extent(shape, slope, Math.Min(high, shape.MaxY));
        // A curved side is replaced by the straight one of the same area (Simpson's rule over the band), tilted as the side is.
        return (Straighten(left, leftBelow, leftAbove), Straighten(right, rightBelow, rightAbove));
    }

    /// <summary>Where both sides are straight all through the band.</summary>
    private static (Crossing Left, Crossing Right) Straight(in PaintShape shape, double slope, double toLow, double height, double toHigh)
    {
        double left = shape.A.X + shape.Side.X + slope * (height - shape.Side.Y), right = shape.A.X - shape.Side.X + slope * (height + shape.Side.Y);
        double below = slope * toLow, above = slope * toHigh;
        return (new(left, left + below, left + above), new(right, right + below, right + above));
    }

    private static Crossing Straighten(double middle, double below, double above)
    {
        double shift = 2 * (middle - (below + above) / 2) / 3;
        return new Crossing(middle, below + shift, above + shift);
    }

    /// <summary>Each side of the shape is the lower disc's up to where the straight side begins, then that, then the upper disc's.</summary>
    private static (double Left, double Right) Extent(in PaintShape shape, double slope, double y)
    {
        var (a, b) = (shape.A, shape.B);
        if (a.Y == b.Y)
        {
            double half = HalfChord(shape.Radius, y - a.Y);
            return (Math.Min(a.X, b.X) - half, Math.Max(a.X, b.X) + half);
        }
        double onLeft = y - shape.Side.Y, onRight = y + shape.Side.Y;
        double left = onLeft < a.Y ? a.X - HalfChord(shape.Radius, y - a.Y)
            : onLeft > b.Y ? b.X - HalfChord(shape.Radius, y - b.Y)
            : a.X + shape.Side.X + slope * (onLeft - a.Y);
        double right = onRight < a.Y ? a.X + HalfChord(shape.Radius, y - a.Y)
            : onRight > b.Y ? b.X + HalfChord(shape.Radius, y - b.Y)
            : a.X - shape.Side.X + slope * (onRight - a.Y);
        return (left, right);
    }

    private static double HalfChord(double r, double offset) => Math.Sqrt(Math.Max(0, r * r - offset * offset));
}
