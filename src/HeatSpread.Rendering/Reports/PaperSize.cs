namespace HeatSpread.Rendering.Reports;

public enum PaperSize
{
    /// <summary>210 × 297 mm (ISO 216).</summary>
    A4,

    /// <summary>8.5 × 11 inches.</summary>
    Letter,
}
