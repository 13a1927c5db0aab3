using HeatSpread.Boards;
using SkiaSharp;

namespace HeatSpread.Rendering.Reports;

/// <summary>Colours of a report beside those of the pictures: few, and told apart in grey.</summary>
internal static class ReportLook
{
    public static readonly SKColor Pass = new(0x1D, 0x6B, 0x3A), Fail = new(0xA5, 0x2A, 0x1C);

    /// <summary>Thin lines between rows.</summary>
    public static readonly SKColor Rule = new(0xC4, 0xC1, 0xBA);

    /// <summary>Behind the heads of tables.</summary>
    public static readonly SKColor Band = new(0xF0, 0xEE, 0xEA);

    public static readonly SKColor Bar = new(0x0B, 0x5C, 0x78);

    /// <summary>Board in a line drawing.</summary>
    public static readonly SKColor Sheet = new(0xF6, 0xF5, 0xF2);

    public static readonly SKColor Pad = new(0xC9, 0xBF, 0xB4);

    public static readonly SKColor Weave = new(0x9A, 0xA3, 0x9C);

    public static SKColor Row(StackRowKind kind) => kind switch { StackRowKind.Copper => new(0xB8, 0x6A, 0x30), StackRowKind.Mask => new(0x35, 0x6B, 0x4C), _ => new(0xE9, 0xE6, 0xD8) };
}
