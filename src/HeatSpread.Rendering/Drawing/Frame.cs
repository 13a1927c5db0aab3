using HeatSpread.Boards;
using SkiaSharp;

namespace HeatSpread.Rendering;

/// <summary>Where the parts of a picture lie, px.</summary>
/// <param name="Sizes">Of text and lines.</param>
/// <param name="Width">Of the picture.</param>
/// <param name="Height">Of the picture.</param>
/// <param name="View">The board.</param>
/// <param name="Title">Above it; empty in a bare picture.</param>
/// <param name="Legend">Below it; empty in a bare picture.</param>
internal sealed record Frame(PictureSizes Sizes, int Width, int Height, PlanView View, SKRect Title, SKRect Legend)
{
    /// <summary>A narrow board is drawn smaller, so that no picture is taller than this many widths.</summary>
    private const double TallestMap = 1.4;

    /// <summary>False: the map alone, edge to edge.</summary>
    public bool IsFramed => Legend.Height > 0;

    /// <param name="board">What is shown, m.</param>
    /// <param name="width">Of the picture, px, 64 to 4096.</param>
    /// <param name="framed">With title, legend and scale bar around it; left out where there is no room.</param>
    /// <param name="mirrored">Seen from below.</param>
    /// <param name="padding">Free space around the board within its panel, as a share of the text size.</param>
    /// <param name="textScale">Of text and lines.</param>
    /// <exception cref="ArgumentOutOfRangeException">The width is out of range.</exception>
    public static Frame For(Box board, int width, bool framed, bool mirrored = false, float padding = 0, float textScale = 1)
    {
        if (width is < 64 or > 4096) throw new ArgumentOutOfRangeException(nameof(width), $"width must be 64 to 4096 pixels; it is {width}");
        var sizes = new PictureSizes(width, textScale);
        framed &= !sizes.IsThumbnail;
        float margin = framed ? MathF.Round(sizes.Margin) : 0, inset = framed ? MathF.Round(padding * sizes.Text) : 0;
        double panelWidth = width - 2 * margin - 2 * inset;
        double shrink = Math.Min(1, TallestMap * width / (panelWidth * board.Height / board.Width));
        int mapWidth = Math.Max(1, (int)Math.Round(panelWidth * shrink)), mapHeight = Math.Max(1, (int)Math.Round(panelWidth * shrink * board.Height / board.Width));
        float titleHeight = framed ? MathF.Round(sizes.Title * 2.5f) : 0, legendHeight = framed ? MathF.Round(sizes.Text * 5.0f) : 0;
        float left = MathF.Floor((width - mapWidth) / 2f), top = titleHeight + inset;
        var map = SKRect.Create(left, top, mapWidth, mapHeight);
        return new Frame(
            sizes,
            width,
            (int)(map.Bottom + inset + legendHeight),
            new PlanView(board, map, mirrored),
            new SKRect(margin, 0, width - margin, titleHeight),
            SKRect.Create(margin, map.Bottom + inset, width - 2 * margin, legendHeight));
    }
}
