using SkiaSharp;

namespace HeatSpread.Rendering.Reports;

/// <summary>Text broken into lines of a width.</summary>
/// <param name="Style">Of the text.</param>
/// <param name="Lines">At least one.</param>
internal sealed record TextLines(TextStyle Style, IReadOnlyList<string> Lines)
{
    public float Height => Lines.Count * Style.LineHeight;

    /// <param name="text">Anything; signs without a glyph are written as numbers.</param>
    /// <param name="style">Of the text.</param>
    /// <param name="width">Points. Words wider than it are broken between signs.</param>
    public static TextLines Break(string text, TextStyle style, float width)
    {
        using var font = style.Font();
        var lines = new List<string>();
        string line = "";
        foreach (string word in ReportFont.Known(text).Split(' ', StringSplitOptions.RemoveEmptyEntries))
        {
            string longer = line.Length == 0 ? word : line + " " + word;
            if (font.MeasureText(longer) <= width)
            {
                line = longer;
                continue;
            }
            if (line.Length > 0) lines.Add(line);
            line = word;
            while (font.MeasureText(line) > width && line.Length > 1)
            {
                int fits = Fitting(line, font, width);
                lines.Add(line[..fits]);
                line = line[fits..];
            }
        }
        if (line.Length > 0 || lines.Count == 0) lines.Add(line);
        return new(style, lines);
    }

    /// <summary>Width of the widest word and of the whole text, points.</summary>
    public static (float Word, float All) Widths(string text, TextStyle style)
    {
        using var font = style.Font();
        string known = ReportFont.Known(text);
        return (known.Split(' ').Max(word => font.MeasureText(word)), font.MeasureText(known));
    }

    /// <param name="canvas">Of the page.</param>
    /// <param name="x">Left edge, or right edge of text set to the right.</param>
    /// <param name="top">Of the first line.</param>
    /// <param name="align">Left or right.</param>
    public void Draw(SKCanvas canvas, float x, float top, SKTextAlign align = SKTextAlign.Left)
    {
        using var font = Style.Font();
        using var paint = new SKPaint { IsAntialias = true, Color = Style.Ink };
        for (int i = 0; i < Lines.Count; i++)
            if (Lines[i].Length > 0) canvas.DrawText(Lines[i], x, top + i * Style.LineHeight + Style.Ascent, align, font, paint);
    }

    /// <summary>How many signs fit, at least one, never half a pair.</summary>
    private static int Fitting(string word, SKFont font, float width)
    {
        int low = 1, high = word.Length - 1;
        while (low < high)
        {
            int middle = (low + high + 1) / 2;
            if (font.MeasureText(word[..middle]) <= width) low = middle;
            else high = middle - 1;
        }
        return char.IsHighSurrogate(word[low - 1]) ? low + 1 : low;
    }
}
