using SkiaSharp;

namespace HeatSpread.Rendering.Reports;

/// <summary>A page and its margins, points (1/72 inch).</summary>
/// <param name="Width">Of the paper.</param>
/// <param name="Height">Of the paper.</param>
internal sealed record PageFormat(float Width, float Height)
{
    private const float Side = 51, Top = 60, Bottom = 58;

    public static PageFormat Of(PaperSize paper) => paper == PaperSize.Letter ? new(612, 792) : new(595.28f, 841.89f);

    /// <summary>Where the text lies; header and footer are outside it.</summary>
    public SKRect Text => new(Side, Top, Width - Side, Height - Bottom);

    public static float HeaderBaseline => Top - 20;

    public float FooterBaseline => Height - Bottom + 26;
}
