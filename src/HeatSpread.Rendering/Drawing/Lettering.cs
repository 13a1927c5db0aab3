using System.Globalization;
using SkiaSharp;

namespace HeatSpread.Rendering;

/// <summary>The bundled font, and how text is set with it.</summary>
internal static class Lettering
{
    /// <summary>Every sign of the pictures that is not plain ASCII.</summary>
    internal const string SpecialSigns = "°Δµλ²·≥≤–−×…";

    private static readonly SKTypeface Face = Load();

    /// <param name="size">Pixels.</param>
    /// <param name="strong">For titles; the regular face is thickened, so that one font file serves.</param>
    public static SKFont Font(float size, bool strong = false) => new(Face, size)
    {
        Hinting = SKFontHinting.None, // hinting rounds widths, so that text would not scale with the picture
        Subpixel = true,
        Edging = SKFontEdging.Antialias,
        Embolden = strong,
    };

    /// <summary>A number with a true minus sign.</summary>
    public static string Number(double value, int decimals)
    {
        string text = value.ToString("F" + decimals.ToString(CultureInfo.InvariantCulture), CultureInfo.InvariantCulture);
        bool isZero = text.AsSpan().IndexOfAnyInRange('1', '9') < 0;
        return text.StartsWith('-') ? (isZero ? text[1..] : "−" + text[1..]) : text;
    }

    /// <summary>The text, or its beginning with an ellipsis, so that it fits.</summary>
    public static string Fit(string text, SKFont font, float width)
    {
        if (font.MeasureText(text) <= width) return text;
        for (int length = text.Length - 1; length > 0; length--)
        {
            string shorter = text[..length].TrimEnd() + "…";
            if (font.MeasureText(shorter) <= width) return shorter;
        }
        return "";
    }

    /// <summary>Text with a band of another colour around it, legible over anything.</summary>
    public static void DrawHaloed(SKCanvas canvas, string text, float x, float y, SKTextAlign align, SKFont font, SKColor ink, SKColor halo)
    {
        using var around = new SKPaint { Color = halo, IsAntialias = true, Style = SKPaintStyle.Stroke, StrokeWidth = font.Size * 0.24f, StrokeJoin = SKStrokeJoin.Round };
        using var inside = new SKPaint { Color = ink, IsAntialias = true };
        canvas.DrawText(text, x, y, align, font, around);
        canvas.DrawText(text, x, y, align, font, inside);
    }

    private static SKTypeface Load()
    {
        using var stream = typeof(Lettering).Assembly.GetManifestResourceStream("Inter_400Regular.ttf")
            ?? throw new InvalidOperationException("the bundled font is missing from the assembly");
        using var data = SKData.Create(stream);
        var face = SKTypeface.FromData(data) ?? throw new InvalidOperationException("the bundled font cannot be read");
        using var font = new SKFont(face);
        // a sign without a glyph would vanish from the pictures without an error
        return font.ContainsGlyphs(SpecialSigns + "0123456789CKmWx") ? face : throw new InvalidOperationException("the bundled font lacks signs that the pictures use");
    }
}
