using System.Text;
using SkiaSharp;

namespace HeatSpread.Rendering.Reports;

/// <summary>Text as the bundled font can set it.</summary>
internal static class ReportFont
{
    private static readonly SKFont Probe = Lettering.Font(10);

    /// <summary>The text with every sign that the font lacks, or that is not seen, as its Unicode number: on paper nothing is left out.</summary>
    public static string Known(string text)
    {
        string visible = ReportText.Visible(text);
        if (Probe.ContainsGlyphs(visible)) return visible;
        var known = new StringBuilder(visible.Length);
        foreach (var rune in visible.EnumerateRunes()) known.Append(Probe.ContainsGlyph(rune.Value) ? rune.ToString() : ReportText.Number(rune));
        return known.ToString();
    }
}
