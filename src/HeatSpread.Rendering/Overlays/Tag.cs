using SkiaSharp;

namespace HeatSpread.Rendering;

/// <summary>A small dark plate with a word in an accent colour and a value in white: legible over anything.</summary>
internal static class Tag
{
    private const float HeightInText = 1.5f;

    public static SKSize Size(PictureSizes sizes, string word, string value)
    {
        using var font = Lettering.Font(sizes.Small);
        return new SKSize(font.MeasureText(word) + font.MeasureText(value) + font.Size * 1.5f, font.Size * HeightInText);
    }

    /// <param name="canvas">Of the picture.</param>
    /// <param name="box">As large as <see cref="Size"/> says.</param>
    /// <param name="accent">Of the word.</param>
    /// <param name="word">On the left.</param>
    /// <param name="value">On the right.</param>
    public static void Draw(SKCanvas canvas, SKRect box, SKColor accent, string word, string value)
    {
        using var font = Lettering.Font(box.Height / HeightInText);
        using var paint = new SKPaint { IsAntialias = true, Color = Theme.Ink.WithAlpha(0xE6) };
        canvas.DrawRoundRect(box, box.Height * 0.28f, box.Height * 0.28f, paint);
        float baseline = box.MidY + font.Size * 0.36f;
        paint.Color = accent;
        canvas.DrawText(word, box.Left + font.Size * 0.5f, baseline, SKTextAlign.Left, font, paint);
        paint.Color = SKColors.White;
        canvas.DrawText(value, box.Right - font.Size * 0.5f, baseline, SKTextAlign.Right, font, paint);
    }
}
