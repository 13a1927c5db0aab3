using SkiaSharp;

namespace HeatSpread.Rendering;

/// <summary>A round length of the board, in mm.</summary>
internal static class ScaleBar
{
    /// <summary>A round length that takes at most a given width.</summary>
    /// <returns>Millimetres.</returns>
    internal static double Length(double pixelsPerMeter, double atMostPixels)
    {
        double most = atMostPixels / pixelsPerMeter * 1e3, power = Math.Pow(10, Math.Floor(Math.Log10(most)));
        return (most >= 5 * power ? 5 : most >= 2 * power ? 2 : 1) * power;
    }

    /// <param name="canvas">Of the picture.</param>
    /// <param name="frame">Of the picture.</param>
    /// <param name="right">End of the bar, px.</param>
    /// <param name="line">Height of the bar, px.</param>
    /// <param name="atMost">Room for it, px.</param>
    public static void Draw(SKCanvas canvas, Frame frame, float right, float line, float atMost)
    {
        double length = Length(frame.View.PixelsPerMeter, atMost);
        float width = (float)(length * 1e-3 * frame.View.PixelsPerMeter), tick = frame.Sizes.Text * 0.32f;
        using var paint = new SKPaint { IsAntialias = true, Color = Theme.Ink, Style = SKPaintStyle.Stroke, StrokeWidth = frame.Sizes.Line * 1.3f };
        using var builder = new SKPathBuilder();
        builder.MoveTo(right - width, line - tick);
        builder.LineTo(right - width, line);
        builder.LineTo(right, line);
        builder.LineTo(right, line - tick);
        using var path = builder.Detach();
        canvas.DrawPath(path, paint);
        using var font = Lettering.Font(frame.Sizes.Small);
        paint.Style = SKPaintStyle.Fill;
        paint.Color = Theme.Muted;
        canvas.DrawText(Text(length), right - width / 2, line + font.Size * 1.35f, SKTextAlign.Center, font, paint);
    }

    private static string Text(double millimetres) => Lettering.Number(millimetres, Math.Max(0, (int)-Math.Floor(Math.Log10(millimetres) + 1e-9))) + " mm";
}
