using SkiaSharp;

namespace HeatSpread.Rendering.Reports;

/// <summary>A kind of text on paper.</summary>
/// <param name="Size">Points.</param>
/// <param name="IsStrong">Thickened.</param>
/// <param name="Ink">Its colour.</param>
internal sealed record TextStyle(float Size, bool IsStrong, SKColor Ink)
{
    public static readonly TextStyle Title = new(21, true, Theme.Ink), Subject = new(12.5f, false, Theme.Ink), Heading = new(12.5f, true, Theme.Ink), SubHeading = new(9.8f, true, Theme.Ink),
        Body = new(8.8f, false, Theme.Ink), Strong = new(8.8f, true, Theme.Ink), Note = new(7.6f, false, Theme.Muted), Name = new(8.8f, false, Theme.Muted),
        Cell = new(7.9f, false, Theme.Ink), StrongCell = new(7.9f, true, Theme.Ink), Head = new(7.4f, true, Theme.Ink), Margin = new(7.4f, false, Theme.Muted);

    public float LineHeight => Size * 1.38f;

    /// <summary>From the top of a line to its baseline.</summary>
    public float Ascent => Size * 1.04f;

    public SKFont Font() => Lettering.Font(Size, IsStrong);
}
