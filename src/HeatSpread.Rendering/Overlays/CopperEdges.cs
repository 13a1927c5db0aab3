using HeatSpread.Boards;
using SkiaSharp;

namespace HeatSpread.Rendering;

/// <summary>Thin lines along the edges of a layer's final copper.</summary>
internal static class CopperEdges
{
    /// <summary>Fine enough for the narrowest cuts and tracks in use, about 0.1 mm.</summary>
    private const double FinestPixelsPerMeter = 18e3;

    /// <summary>Bounds time and memory on large boards and in large pictures.</summary>
    private const double MostPixels = 4e6;

    public static void Draw(SKCanvas canvas, Board board, int layer, Frame frame, SKShader ink)
    {
        var box = board.Outline.Bounds;
        double wanted = Math.Max(frame.View.PixelsPerMeter, FinestPixelsPerMeter);
        double fineness = Math.Min(wanted, Math.Sqrt(MostPixels / (box.Width * box.Height)));
        using var paint = new SKPaint { IsAntialias = true, Style = SKPaintStyle.Stroke, StrokeWidth = frame.Sizes.Line * 0.8f, StrokeJoin = SKStrokeJoin.Round, Shader = ink };
        using var builder = new SKPathBuilder();
        foreach (var line in CopperMask.Edges(board, layer, fineness))
        {
            builder.MoveTo(frame.View.ToPixel(line[0]));
            for (int i = 1; i < line.Length; i++) builder.LineTo(frame.View.ToPixel(line[i]));
        }
        using var path = builder.Detach();
        canvas.DrawPath(path, paint);
    }
}
