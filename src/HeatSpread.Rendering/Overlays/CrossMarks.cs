using SkiaSharp;

namespace HeatSpread.Rendering;

/// <summary>Cross hairs at the hottest and the coldest place of a camera view.</summary>
internal static class CrossMarks
{
    public static void Draw(SKCanvas canvas, Frame frame, CameraScene scene, LabelSpace space)
    {
        if (frame.Sizes.IsThumbnail) return;
        int decimals = Legend.Decimals(scene.Range);
        DrawOne(canvas, frame, scene.Hottest, "max", Lettering.Number(scene.Range.Max, decimals), new SKColor(0xFF, 0xD6, 0x7A), space);
        DrawOne(canvas, frame, scene.Coldest, "min", Lettering.Number(scene.Range.Min, decimals), new SKColor(0x9F, 0xD8, 0xFF), space);
    }

    private static void DrawOne(SKCanvas canvas, Frame frame, SKPoint at, string word, string value, SKColor colour, LabelSpace space)
    {
        float arm = frame.Sizes.Text * 0.6f, hole = arm * 0.3f;
        using var builder = new SKPathBuilder();
        foreach (var (x, y) in (ReadOnlySpan<(int, int)>)[(1, 0), (-1, 0), (0, 1), (0, -1)])
        {
            builder.MoveTo(at.X + x * hole, at.Y + y * hole);
            builder.LineTo(at.X + x * arm, at.Y + y * arm);
        }
        using var cross = builder.Detach();
        using var paint = new SKPaint { IsAntialias = true, Style = SKPaintStyle.Stroke, Color = Theme.Night.WithAlpha(0xC0), StrokeWidth = frame.Sizes.Line * 3.2f };
        canvas.DrawPath(cross, paint);
        paint.Color = colour;
        paint.StrokeWidth = frame.Sizes.Line * 1.4f;
        canvas.DrawPath(cross, paint);
        var box = SKRect.Create(at.X - arm, at.Y - arm, 2 * arm, 2 * arm);
        space.Take(box);
        var size = Tag.Size(frame.Sizes, word, value);
        if (space.Place(size, LabelSpace.Around(box, size, frame.Sizes.Text * 0.15f)) is { } tag) Tag.Draw(canvas, tag, colour, word, value);
    }
}
