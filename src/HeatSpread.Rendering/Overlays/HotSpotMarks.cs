using HeatSpread.Insight;
using SkiaSharp;

namespace HeatSpread.Rendering;

/// <summary>Rings at the hot spots, with rank and temperature in a tag beside each.</summary>
internal sealed class HotSpotMarks
{
    private static readonly SKColor Accent = new(0xFF, 0xD6, 0x7A);

    private readonly List<(SKPoint At, SKRect? Tag, string Rank, string Value)> _marks = [];
    private readonly PictureSizes _sizes;

    private HotSpotMarks(PictureSizes sizes) => _sizes = sizes;

    /// <param name="hotSpots">Those of the layer shown.</param>
    /// <param name="frame">Of the picture.</param>
    /// <param name="space">Of the labels.</param>
    public static HotSpotMarks Place(IEnumerable<HotSpot> hotSpots, Frame frame, LabelSpace space)
    {
        var result = new HotSpotMarks(frame.Sizes);
        var shown = hotSpots.OrderBy(h => h.Rank).Take(frame.Sizes.IsThumbnail ? 0 : frame.Sizes.IsSmall ? 1 : 6).ToList();
        foreach (var spot in shown) result.Add(spot, frame.View.ToPixel(spot.At), space);
        return result;
    }

    private float Radius => _sizes.Text * 0.40f;

    private void Add(HotSpot spot, SKPoint at, LabelSpace space)
    {
        string rank = Lettering.Number(spot.Rank, 0), value = Lettering.Number(spot.Celsius, 1) + " °C";
        var ring = SKRect.Create(at.X - Radius, at.Y - Radius, 2 * Radius, 2 * Radius);
        space.Take(ring);
        var size = Tag.Size(_sizes, rank, value);
        _marks.Add((at, space.Place(size, LabelSpace.Around(ring, size, _sizes.Text * 0.25f)), rank, value));
    }

    public void Draw(SKCanvas canvas)
    {
        foreach (var mark in _marks) DrawRing(canvas, mark.At);
        foreach (var mark in _marks)
            if (mark.Tag is { } tag) Tag.Draw(canvas, tag, Accent, mark.Rank, mark.Value);
    }

    private void DrawRing(SKCanvas canvas, SKPoint at)
    {
        using var paint = new SKPaint { IsAntialias = true, Style = SKPaintStyle.Stroke, Color = Theme.Ink, StrokeWidth = _sizes.Line * 3.2f };
        canvas.DrawCircle(at, Radius, paint);
        paint.Color = SKColors.White;
        paint.StrokeWidth = _sizes.Line * 1.5f;
        canvas.DrawCircle(at, Radius, paint);
        paint.Style = SKPaintStyle.Fill;
        paint.Color = Theme.Ink;
        canvas.DrawCircle(at, _sizes.Line * 1.3f, paint);
    }
}
