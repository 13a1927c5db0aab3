using SkiaSharp;

namespace HeatSpread.Rendering;

/// <summary>
/// The colour scale as a bar: round ticks below, the lowest and highest value shown as marks above. An end that values exceed is an
/// arrow with ≤ or ≥.
/// </summary>
internal sealed class Legend
{
    private readonly Frame _frame;
    private readonly ColourScale _scale;
    private readonly ValueRange _range;
    private readonly string _unit;
    private readonly SKRect _bar;

    private Legend(Frame frame, ColourScale scale, ValueRange range, string unit, float right)
    {
        (_frame, _scale, _range, _unit) = (frame, scale, range, unit);
        float cap = frame.Sizes.Text * 0.8f, top = frame.Legend.Top + frame.Sizes.Text * 1.75f;
        _bar = new SKRect(frame.Legend.Left + cap, top, right - cap - frame.Sizes.Text * 2.2f, top + frame.Sizes.Text * 0.95f);
    }

    internal bool ClipsLow => _range.Min < _scale.Min - Slack;

    internal bool ClipsHigh => _range.Max > _scale.Max + Slack;

    /// <summary>The field is kept in single precision, so its extremes may miss an automatic scale's ends by a rounding error.</summary>
    private double Slack => (_scale.Max - _scale.Min) * 1e-5;

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
        ScaleBar.Draw(canvas, frame, frame.Legend.Right, legend._bar.Bottom, scaleBarRoom);
    }

    /// <summary>Draws a legend of shares from 0 to 100 %, and the scale bar.</summary>
    public static void DrawShares(SKCanvas canvas, Frame frame, Palette palette)
    {
        var whole = new ValueRange(0, 100);
        float scaleBarRoom = frame.Legend.Width * 0.2f;
        var legend = new Legend(frame, new ColourScale(0, 100, palette), whole, "%", frame.Legend.Left + frame.Legend.Width * 0.45f);
        legend.DrawBar(canvas);
        legend.DrawTicks(canvas);
        ScaleBar.Draw(canvas, frame, frame.Legend.Right, legend._bar.Bottom, scaleBarRoom);
    }

    private bool IsSigned { get; init; }

    private float XOf(double value) => _bar.Left + (float)_scale.Fraction(value) * _bar.Width;

    private string Format(double value, int decimals) => Format(value, decimals, IsSigned);

    private static string Format(double value, int decimals, bool isSigned)
    {
        string text = Lettering.Number(value, decimals);
        return isSigned && value > 0 && text.AsSpan().IndexOfAnyInRange('1', '9') >= 0 ? "+" + text : text;
    }

    private void DrawBar(SKCanvas canvas)
    {
        const int stops = 64;
        var colours = new SKColor[stops];
        for (int i = 0; i < stops; i++) colours[i] = _scale.Palette.At(i / (stops - 1.0));
        using var shader = SKShader.CreateLinearGradient(new(_bar.Left, 0), new(_bar.Right, 0), colours, SKShaderTileMode.Clamp);
        using var paint = new SKPaint { IsAntialias = true, Shader = shader };
        using var path = BarPath();
        canvas.DrawPath(path, paint);
        paint.Shader = null;
        paint.Style = SKPaintStyle.Stroke;
        paint.StrokeWidth = _frame.Sizes.Line * 0.8f;
        paint.Color = Theme.Edge.WithAlpha(0x90);
        canvas.DrawPath(path, paint);
        using var font = Lettering.Font(_frame.Sizes.Text);
        using var ink = new SKPaint { IsAntialias = true, Color = Theme.Ink };
        canvas.DrawText(_unit, _bar.Right + _frame.Sizes.Text * 1.0f, _bar.MidY + font.Size * 0.36f, SKTextAlign.Left, font, ink);
    }

    /// <summary>A bar whose exceeded ends are arrows.</summary>
    private SKPath BarPath()
    {
        float arrow = _bar.Height * 0.75f;
        using var builder = new SKPathBuilder();
        builder.MoveTo(_bar.Left, _bar.Top);
        builder.LineTo(_bar.Right, _bar.Top);
        if (ClipsHigh) builder.LineTo(_bar.Right + arrow, _bar.MidY);
        builder.LineTo(_bar.Right, _bar.Bottom);
        builder.LineTo(_bar.Left, _bar.Bottom);
        if (ClipsLow) builder.LineTo(_bar.Left - arrow, _bar.MidY);
        builder.Close();
        return builder.Detach();
    }

    private void DrawTicks(SKCanvas canvas)
    {
        using var font = Lettering.Font(_frame.Sizes.Small);
        using var paint = new SKPaint { IsAntialias = true, Color = Theme.Ink, StrokeWidth = _frame.Sizes.Line };
        int atMost = Math.Clamp((int)(_bar.Width / (font.Size * 4.2f)), 2, 10);
        var ticks = Ticks.Between(_scale.Min, _scale.Max, atMost);
        float tick = _frame.Sizes.Text * 0.28f, baseline = _bar.Bottom + tick + font.Size * 1.1f;
        var taken = new List<(float Left, float Right)>();
        void DrawOne(double value, string text)
        {
            float x = XOf(value), half = font.MeasureText(text) / 2, space = font.Size * 0.35f;
            canvas.DrawLine(x, _bar.Bottom, x, _bar.Bottom + tick, paint);
            if (taken.Exists(t => x - half - space < t.Right && x + half + space > t.Left)) return;
            taken.Add((x - half, x + half));
            canvas.DrawText(text, x, baseline, SKTextAlign.Center, font, paint);
        }
        // the ends that cut values off come first: their signs must not be crowded out
        if (ClipsLow) DrawOne(_scale.Min, "≤ " + Format(_scale.Min, EndDecimals(_scale.Min, ticks)));
        if (ClipsHigh) DrawOne(_scale.Max, "≥ " + Format(_scale.Max, EndDecimals(_scale.Max, ticks)));
        foreach (double value in ticks.Values) DrawOne(value, Format(value, ticks.Decimals));
    }

    private static int EndDecimals(double end, Ticks ticks) => Math.Abs(end / ticks.Step - Math.Round(end / ticks.Step)) < 1e-9 ? ticks.Decimals : ticks.Decimals + 1;

    private void DrawMarks(SKCanvas canvas)
    {
        using var font = Lettering.Font(_frame.Sizes.Small);
        using var paint = new SKPaint { IsAntialias = true, Color = Theme.Muted };
        int decimals = Decimals(_range);
        string low = Format(_range.Min, decimals), high = Format(_range.Max, decimals);
        float x0 = XOf(_range.Min), x1 = XOf(_range.Max), baseline = _bar.Top - _frame.Sizes.Text * 0.52f, gap = font.Size;
        DrawMark(canvas, x0, paint);
        DrawMark(canvas, x1, paint);
        float w0 = font.MeasureText(low), w1 = font.MeasureText(high);
        if (x1 - x0 > w0 + w1 + gap)
        {
            canvas.DrawText(low, x0 - _frame.Sizes.Text * 0.3f, baseline, SKTextAlign.Left, font, paint);
            canvas.DrawText(high, x1 + _frame.Sizes.Text * 0.3f, baseline, SKTextAlign.Right, font, paint);
            return;
        }
        string both = low + (IsSigned ? " … " : " – ") + high;
        float half = font.MeasureText(both) / 2;
        canvas.DrawText(both, Math.Clamp((x0 + x1) / 2, _bar.Left + half, Math.Max(_bar.Left + half, _bar.Right - half)), baseline, SKTextAlign.Center, font, paint);
    }

    private void DrawMark(SKCanvas canvas, float x, SKPaint paint)
    {
        float size = _frame.Sizes.Text * 0.3f;
        using var builder = new SKPathBuilder();
        builder.MoveTo(x, _bar.Top - _frame.Sizes.Line);
        builder.LineTo(x - size, _bar.Top - _frame.Sizes.Line - size * 1.2f);
        builder.LineTo(x + size, _bar.Top - _frame.Sizes.Line - size * 1.2f);
        builder.Close();
        using var path = builder.Detach();
        canvas.DrawPath(path, paint);
    }

    /// <summary>Digits that tell a range's values apart: one, more where they lie close together.</summary>
    internal static int Decimals(ValueRange range)
    {
        double span = range.Max - range.Min;
        return span >= 2 || span <= 0 ? 1 : Math.Min(4, 1 + (int)Math.Ceiling(-Math.Log10(span / 2) - 1e-9));
    }

    /// <summary>The range as text, with its unit.</summary>
    internal static string RangeText(ValueRange range, string unit, bool isSigned = false)
    {
        int decimals = Decimals(range);
        string dash = isSigned ? " … " : " – "; // a dash would be read as a minus sign
        return Format(range.Min, decimals, isSigned) + dash + Format(range.Max, decimals, isSigned) + " " + unit;
    }
}
