using SkiaSharp;

namespace HeatSpread.Rendering.Charts;

/// <summary>The area between the axes of a chart.</summary>
internal sealed class Plot(SKCanvas canvas, SKRect area, ChartScale x, ChartScale y, PictureSizes sizes)
{
    public void DrawGrid()
    {
        using var line = new SKPaint { IsAntialias = true, Color = Theme.Muted.WithAlpha(0x38), StrokeWidth = sizes.Line * 0.8f };
        using var frame = new SKPaint { IsAntialias = true, Color = Theme.Edge, StrokeWidth = sizes.Line, Style = SKPaintStyle.Stroke };
        using var ink = new SKPaint { IsAntialias = true, Color = Theme.Ink };
        using var font = Lettering.Font(sizes.Small);
        foreach (var (value, text) in x.Ticks)
        {
            float at = XOf(value);
            canvas.DrawLine(at, area.Top, at, area.Bottom, line);
            canvas.DrawText(text, at, area.Bottom + sizes.Text * 1.35f, SKTextAlign.Center, font, ink);
        }
        foreach (var (value, text) in y.Ticks)
        {
            float at = YOf(value);
            canvas.DrawLine(area.Left, at, area.Right, at, line);
            canvas.DrawText(text, area.Left - sizes.Text * 0.5f, at + font.Size * 0.36f, SKTextAlign.Right, font, ink);
        }
        canvas.DrawLine(area.Left, area.Top, area.Left, area.Bottom, frame);
        canvas.DrawLine(area.Left, area.Bottom, area.Right, area.Bottom, frame);
    }

    public void DrawSeries(ChartSeries series, SKColor colour, float[]? dashes)
    {
        if (series.IsShaded) Shade(series, colour);
        switch (series.Mark)
        {
            case ChartMark.Guide:
                Trace(series, Theme.Muted, sizes.Line, [1.5f, 2.5f]);
                break;
            case ChartMark.Line:
                Trace(series, colour, sizes.Line * 2.2f, dashes);
                break;
            default:
                Dot(series, colour);
                break;
        }
    }

    /// <summary>Each name at the last point of its line, moved up or down so that none covers another.</summary>
    public void DrawNames(IReadOnlyList<(ChartSeries Series, SKColor Colour)> series, float right)
    {
        using var font = Lettering.Font(sizes.Text);
        var named = series.Where(each => each.Series.Name.Length > 0 && each.Series.Points.Any(IsDrawn))
            .Select(each => (each.Series, Colour: each.Series.Mark == ChartMark.Guide ? Theme.Muted : each.Colour, Last: each.Series.Points.Last(IsDrawn)))
            .OrderBy(each => YOf(each.Last.Y)).ToArray();
        float gap = font.Size * 1.2f;
        float[] lines = [.. named.Select(each => Math.Clamp(YOf(each.Last.Y), area.Top, area.Bottom))];
        for (int i = 1; i < lines.Length; i++) lines[i] = Math.Max(lines[i], lines[i - 1] + gap);
        for (int i = lines.Length - 1, below = 0; i >= 0; i--, below++) lines[i] = Math.Min(lines[i], area.Bottom - below * gap);
        for (int i = 0; i < named.Length; i++)
        {
            float from = area.Right + sizes.Text * 0.5f;
            Lettering.DrawHaloed(canvas, Lettering.Fit(named[i].Series.Name, font, right - from), from, lines[i] + font.Size * 0.36f, SKTextAlign.Left, font, named[i].Colour, Theme.Paper);
        }
    }

    private float XOf(double value) => area.Left + (float)x.Fraction(value) * area.Width;

    private float YOf(double value) => area.Bottom - (float)y.Fraction(value) * area.Height;

    private SKPoint At((double X, double Y) point) => new(XOf(point.X), YOf(point.Y));

    private bool IsDrawn((double X, double Y) point) => double.IsFinite(x.Fraction(point.X)) && double.IsFinite(y.Fraction(point.Y));

    private void Trace(ChartSeries series, SKColor colour, float width, float[]? dashes)
    {
        using var builder = new SKPathBuilder();
        bool isOn = false;
        foreach (var point in series.Points)
        {
            if (!IsDrawn(point)) isOn = false;
            else if (isOn) builder.LineTo(At(point));
            else
            {
                builder.MoveTo(At(point));
                isOn = true;
            }
        }
        using var path = builder.Detach();
        using var effect = dashes is null ? null : SKPathEffect.CreateDash([.. dashes.Select(length => length * sizes.Line * 1.6f)], 0);
        using var paint = new SKPaint { IsAntialias = true, Color = colour, Style = SKPaintStyle.Stroke, StrokeWidth = width, StrokeJoin = SKStrokeJoin.Round, PathEffect = effect };
        canvas.DrawPath(path, paint);
    }

    private void Shade(ChartSeries series, SKColor colour)
    {
        var points = series.Points.Where(IsDrawn).Select(At).ToArray();
        if (points.Length < 2) return;
        using var builder = new SKPathBuilder();
        builder.MoveTo(points[0].X, area.Bottom);
        foreach (var point in points) builder.LineTo(point);
        builder.LineTo(points[^1].X, area.Bottom);
        builder.Close();
        using var path = builder.Detach();
        using var paint = new SKPaint { IsAntialias = true, Color = colour.WithAlpha(0x20) };
        canvas.DrawPath(path, paint);
    }

    private void Dot(ChartSeries series, SKColor colour)
    {
        using var bar = new SKPaint { IsAntialias = true, Color = colour, StrokeWidth = sizes.Line * 1.2f };
        using var dot = new SKPaint { IsAntialias = true, Color = colour };
        for (int i = 0; i < series.Points.Count; i++)
        {
            if (!IsDrawn(series.Points[i])) continue;
            var at = At(series.Points[i]);
            if (i < series.Bars.Count)
            {
                float up = YOf(series.Points[i].Y + series.Bars[i]), down = YOf(series.Points[i].Y - series.Bars[i]), half = sizes.Text * 0.3f;
                canvas.DrawLine(at.X, up, at.X, down, bar);
                canvas.DrawLine(at.X - half, up, at.X + half, up, bar);
                canvas.DrawLine(at.X - half, down, at.X + half, down, bar);
            }
            canvas.DrawCircle(at, sizes.Text * 0.28f, dot);
        }
    }
}
