using SkiaSharp;

namespace HeatSpread.Rendering;

/// <summary>A picture drawn and written as PNG.</summary>
internal static class Png
{
    /// <param name="width">Pixels.</param>
    /// <param name="height">Pixels.</param>
    /// <param name="ground">Colour behind everything; transparent for none.</param>
    /// <param name="draw">Draws the picture.</param>
    public static byte[] Draw(int width, int height, SKColor ground, Action<SKCanvas> draw)
    {
        var alpha = ground.Alpha == 255 ? SKAlphaType.Opaque : SKAlphaType.Premul;
        using var bitmap = new SKBitmap(new SKImageInfo(width, height, SKColorType.Bgra8888, alpha));
        using (var canvas = new SKCanvas(bitmap))
        {
            canvas.Clear(ground);
            draw(canvas);
        }
        using var pixels = bitmap.PeekPixels() ?? throw new InvalidOperationException("the picture has no pixels");
        // one filter and a middling level: a third of the time of the default for a fifth more bytes
        using var data = pixels.Encode(new SKPngEncoderOptions(SKPngEncoderFilterFlags.Sub, 4)) ?? throw new InvalidOperationException("the picture could not be written as PNG");
        return data.ToArray();
    }
}
