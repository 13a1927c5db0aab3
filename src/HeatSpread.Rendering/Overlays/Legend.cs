using SkiaSharp;

namespace HeatSpread.Rendering;

/// <summary>
/// The colour scale as a bar: round ticks below, the lowest and highest value shown as marks above. An end that values exceed is an
/// arrow with ≤ or ≥.
/// </summary>
internal sealed class Legend
{
    private readonly Frame frame;
    private readonly ColourScale scale;
    private readonly ValueRange range;
    private readonly string unit;
    private readonly SKRect bar;

    private Legend(Frame frame, ColourScale scale, ValueRange range, string unit, float right)
    {
        (this.frame, this.scale, this.range, this.unit) = (frame, scale, range, unit);
        float cap = frame.Sizes.Text * 0.8f, top = frame.Legend.Top + frame.Sizes.Text * 1.75f;
        bar = new SKRect(frame.Legend.Left + cap, top, right - cap - frame.Sizes.Text * 2.2f, top + frame.Sizes.Text * 0.95f);
    }

    internal bool ClipsLow => range.Min < scale.Min - Slack;

    internal bool ClipsHigh => range.Max > scale.Max + Slack;

    /// <summary>The field is kept in single precision, so its extremes may miss an automatic scale's ends by a rounding error.</summary>
    private double Slack => (scale.Max - scale.Min) * 1e-5;

    /// <summary>Draws the legend and the scale bar.</summary>
    /// <param name="canvas">Of the picture.</param>
    /// <param name="frame">Of the picture.</param>
    /// <param name="scale">Colours of the values.</param>
    /// <param name="range">Of the values shown.</param>
    /// <param name="unit">Of the values.</param>
    /// <param name="isSigned">Positive numbers carry a plus sign.</param>
    public static void Draw(SKCanvas canvas, Frame frame, ColourScale scale, ValueRange range, string unit, bool isSigned = false)
    {
        float scaleBarRoom = frame.Legend.Width * 0.2f, gap = frame.Sizes.Text * 1.2f;
        var legend = new Legend(frame, scale, range, unit, frame.Legend.Right - scaleBarRoom - gap) { IsSigned = isSigned };
        legend.DrawBar(canvas);
        legend.DrawTicks(canvas);
        legend.DrawMarks(canvas);
        ScaleBar.Draw(canvas, frame, frame.Legend.Right, legend.bar.Bottom, scaleBarRoom);
    }

    /// <summary>Draws a legend of shares from 0 to 100 %, and the scale bar.</summary>
    public static void DrawShares(SKCanvas canvas, Frame frame, Palette palette)
    {
        var whole = new ValueRange(0, 100);
        float scaleBarRoom = frame.Legend.Width * 0.2f;
        var legend = new Legend(frame, new ColourScale(0, 100, palette), whole, "%", frame.Legend.Left + frame.Legend.Width * 0.45f);
        legend.DrawBar(canvas);
        legend.DrawTicks(canvas);
        ScaleBar.Draw(canvas, frame, frame.Legend.Right, legend.bar.Bottom, scaleBarRoom);
    }

    private bool IsSigned { get; init; }

    private float XOf(double value) => bar.Left + (float)scale.Fraction(value) * bar.Width;

    private string Format(double value, int decimals)
    {
        string text = Lettering.Number(value, decimals);
        return IsSigned && value > 0 && text.AsSpan().IndexOfAnyInRange('1', '9') >= 0 ? "+" + text : text;
    }

    private void DrawBar(SKCanvas canvas)
    {
        const int stops = 64;
        var colours = new SKColor[stops];
        for (int i = 0; i < stops; i++) colours[i] = scale.Palette.At(i / (stops - 1.0));
        using var shader = SKShader.CreateLinearGradient(new(bar.Left, 0), new(bar.Right, 0), colours, SKShaderTileMode.Clamp);
        using var paint = new SKPaint { IsAntialias = true, Shader = shader };
        using var path = BarPath();
        canvas.DrawPath(path, paint);
        paint.Shader = null;
        paint.Style = SKPaintStyle.Stroke;
        paint.StrokeWidth = frame.Sizes.Line * 0.8f;
        paint.Color = Theme.Edge.WithAlpha(0x90);
        canvas.DrawPath(path, paint);
        using var font = Lettering.Font(frame.Sizes.Text);
        using var ink = new SKPaint { IsAntialias = true, Color = Theme.Ink };
        canvas.DrawText(unit, bar.Right + frame.Sizes.Text * 1.0f, bar.MidY + font.Size * 0.36f, SKTextAlign.Left, font, ink);
    }

    /// <summary>A bar whose exceeded ends are arrows.</summary>
    private SKPath BarPath()
    {
        float arrow = bar.Height * 0.75f;
        using var builder = new SKPathBuilder();
        builder.MoveTo(bar.Left, bar.Top);
        builder.LineTo(bar.Right, bar.Top);
        if (ClipsHigh) builder.LineTo(bar.Right + arrow, bar.MidY);
        builder.LineTo(bar.Right, bar.Bottom);
        builder.LineTo(bar.Left, bar.Bottom);
        if (ClipsLow) builder.LineTo(bar.Left - arrow, bar.MidY);
        builder.Close();
        return builder.Detach();
    }

    private void DrawTicks(SKCanvas canvas)
    {
        using var font = Lettering.Font(frame.Sizes.Small);
        using var paint = new SKPaint { IsAntialias = true, Color = Theme.Ink, StrokeWidth = frame.Sizes.Line };
        int atMost = Math.Clamp((int)(bar.Width / (font.Size * 4.2f)), 2, 10);
        var ticks = Ticks.Between(scale.Min, scale.Max, atMost);
        float tick = frame.Sizes.Text * 0.28f, baseline = bar.Bottom + tick + font.Size * 1.1f;
        var taken = new List<(float Left, float Right)>();
        void DrawOne(double value, string text)
        {
            float x = XOf(value), half = font.MeasureText(text) / 2, space = font.Size * 0.35f;
            canvas.DrawLine(x, bar.Bottom, x, bar.Bottom + tick, paint);
            if (taken.Exists(t => x - half - space < t.Right && x + half + space > t.Left)) return;
            taken.Add((x - half, x + half));
            canvas.DrawText(text, x, baseline, SKTextAlign.Center, font, paint);
        }
        // the ends that cut values off come first: their signs must not be crowded out
        if (ClipsLow) DrawOne(scale.Min, "≤ " + Format(scale.Min, EndDecimals(scale.Min, ticks)));
        if (ClipsHigh) DrawOne(scale.Max, "≥ " + Format(scale.Max, EndDecimals(scale.Max, ticks)));
        foreach (double value in ticks.Values) DrawOne(value, Format(value, ticks.Decimals));
    }

    private static int EndDecimals(double end, Ticks ticks) => Math.Abs(end / ticks.Step - Math.Round(end / ticks.Step)) < 1e-9 ? ticks.Decimals : ticks.Decimals + 1;

    private void DrawMarks(SKCanvas canvas)
    {
        using var font = Lettering.Font(frame.Sizes.Small);
        using var paint = new SKPaint { IsAntialias = true, Color = Theme.Muted };
        int decimals = Decimals(range);
        string low = Format(range.Min, decimals), high = Format(range.Max, decimals);
        float x0 = XOf(range.Min), x1 = XOf(range.Max), baseline = bar.Top - frame.Sizes.Text * 0.52f, gap = font.Size;
        DrawMark(canvas, x0, paint);
        DrawMark(canvas, x1, paint);
        float w0 = font.MeasureText(low), w1 = font.MeasureText(high);
        if (x1 - x0 > w0 + w1 + gap)
        {
            canvas.DrawText(low, x0 - frame.Sizes.Text * 0.3f, baseline, SKTextAlign.Left, font, paint);
            canvas.DrawText(high, x1 + frame.Sizes.Text * 0.3f, baseline, SKTextAlign.Right, font, paint);
            return;
        }
        string both = low + " – " + high;
        float half = font.MeasureText(both) / 2;
        canvas.DrawText(both, Math.Clamp((x0 + x1) / 2, bar.Left + half, Math.Max(bar.Left + half, bar.Right - half)), baseline, SKTextAlign.Center, font, paint);
    }

    private void DrawMark(SKCanvas canvas, float x, SKPaint paint)
    {
        float size = frame.Sizes.Text * 0.3f;
        using var builder = new SKPathBuilder();
        builder.MoveTo(x, bar.Top - frame.Sizes.Line);
        builder.LineTo(x - size, bar.Top - frame.Sizes.Line - size * 1.2f);
        builder.LineTo(x + size, bar.Top - frame.Sizes.Line - size * 1.2f);
        builder.Close();
        using var path = builder.Detach();
        canvas.DrawPath(path, paint);
    }

    /// <summary>Digits that tell a range's values apart: one, more where they lie close together.</summary>
    internal static int Decimals(ValueRange range)
    {
        double span = range.Max - range.Min;
        return span >= 2 || span <= 0 ? 1 : Math.Min(4, 1 + (int)Math.Ceiling(-Math.Log10(span / 2)));
    }

    /// <summary>The range as text, with its unit.</summary>
    internal static string RangeText(ValueRange range, string unit)
    {
        int decimals = Decimals(range);
        return $"{Lettering.Number(range.Min, decimals)} – {Lettering.Number(range.Max, decimals)} {unit}";
    }
}
