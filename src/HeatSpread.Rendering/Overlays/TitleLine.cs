using SkiaSharp;

namespace HeatSpread.Rendering;

/// <summary>What is shown, in strong type; a detail after it; and whose it is, on the right where there is room.</summary>
internal static class TitleLine
{
    public static void Draw(SKCanvas canvas, Frame frame, string subject, string detail, string source)
    {
        var area = frame.Title;
        using var strong = Lettering.Font(frame.Sizes.Title, strong: true);
        using var plain = Lettering.Font(frame.Sizes.Text * 1.05f);
        using var small = Lettering.Font(frame.Sizes.Small);
        using var paint = new SKPaint { IsAntialias = true, Color = Theme.Ink };
        float baseline = area.Bottom - frame.Sizes.Title * 0.85f, gap = frame.Sizes.Text * 0.8f;
        string fitted = Lettering.Fit(subject, strong, area.Width * 0.6f);
        canvas.DrawText(fitted, area.Left, baseline, SKTextAlign.Left, strong, paint);
        float x = area.Left + strong.MeasureText(fitted) + gap;
        string fittedDetail = Lettering.Fit(detail, plain, area.Right - x);
        canvas.DrawText(fittedDetail, x, baseline, SKTextAlign.Left, plain, paint);
        paint.Color = Theme.Muted;
        float free = area.Right - x - plain.MeasureText(fittedDetail) - 2 * gap;
        if (small.MeasureText(source) <= free || free > area.Width * 0.25f)
            canvas.DrawText(Lettering.Fit(source, small, free), area.Right, baseline, SKTextAlign.Right, small, paint);
    }
}
