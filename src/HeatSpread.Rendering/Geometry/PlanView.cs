using HeatSpread.Boards;
using SkiaSharp;

namespace HeatSpread.Rendering;

/// <summary>Where the plan of a board lies in a picture: metres, y up, to pixels, y down; mirrored left to right for a look from below.</summary>
/// <param name="Box">What is shown, m.</param>
/// <param name="Target">Where, px; of the same shape as <paramref name="Box"/>.</param>
/// <param name="Mirrored">Left and right change places.</param>
internal sealed record PlanView(Box Box, SKRect Target, bool Mirrored)
{
    /// <summary>Along x; the whole-pixel target may stretch y by less than a pixel in its height.</summary>
    public double PixelsPerMeter => Target.Width / Box.Width;

    private double PixelsPerMeterY => Target.Height / Box.Height;

    public SKPoint ToPixel(Point p)
    {
        double x = (p.X - Box.MinX) * PixelsPerMeter;
        return new SKPoint(
            (float)(Mirrored ? Target.Right - x : Target.Left + x),
            (float)(Target.Bottom - (p.Y - Box.MinY) * PixelsPerMeterY));
    }

    public Point ToPlan(double x, double y) => new(
        Box.MinX + (Mirrored ? Target.Right - x : x - Target.Left) / PixelsPerMeter,
        Box.MinY + (Target.Bottom - y) / PixelsPerMeterY);

    /// <summary>A region as a path in pixels; overlapping polygons are one area.</summary>
    public SKPath PathOf(Region region)
    {
        using var builder = new SKPathBuilder { FillType = SKPathFillType.Winding };
        foreach (var polygon in region.Polygons)
        {
            // outer rings one way round and holes the other: then winding fills exactly the union
            AddRing(builder, polygon.Outer, counterClockwise: true);
            foreach (var hole in polygon.Holes) AddRing(builder, hole, counterClockwise: false);
        }
        return builder.Detach();
    }

    public SKPath PathOf(IReadOnlyList<Point> line)
    {
        using var builder = new SKPathBuilder();
        builder.MoveTo(ToPixel(line[0]));
        for (int i = 1; i < line.Count; i++) builder.LineTo(ToPixel(line[i]));
        return builder.Detach();
    }

    private void AddRing(SKPathBuilder builder, IReadOnlyList<Point> ring, bool counterClockwise)
    {
        bool forward = Polygon.SignedArea(ring) > 0 == counterClockwise;
        for (int i = 0; i < ring.Count; i++)
        {
            var p = ToPixel(ring[forward ? i : ring.Count - 1 - i]);
            if (i == 0) builder.MoveTo(p);
            else builder.LineTo(p);
        }
        builder.Close();
    }
}
