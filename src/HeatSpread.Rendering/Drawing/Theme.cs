using SkiaSharp;

namespace HeatSpread.Rendering;

/// <summary>Colours of everything that is not a value.</summary>
internal static class Theme
{
    public static readonly SKColor Paper = new(0xFF, 0xFF, 0xFF);

    /// <summary>Titles and numbers.</summary>
    public static readonly SKColor Ink = new(0x17, 0x1E, 0x27);

    /// <summary>Secondary text.</summary>
    public static readonly SKColor Muted = new(0x55, 0x60, 0x6E);

    /// <summary>Edges of the board and of the legend.</summary>
    public static readonly SKColor Edge = new(0x2A, 0x33, 0x3F);

    /// <summary>Board without a value.</summary>
    public static readonly SKColor NoValue = new(0xC9, 0xCE, 0xD4);

    /// <summary>Behind a camera view.</summary>
    public static readonly SKColor Night = new(0x0C, 0x0F, 0x14);

    public static readonly SKColor Copper = new(0xD8, 0x8F, 0x55);

    public static readonly SKColor Laminate = new(0x1D, 0x33, 0x30);
}
