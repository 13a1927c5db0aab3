using SkiaSharp;

namespace HeatSpread.Rendering;

/// <summary>Lines of equal value at round levels, each in the tone that shows on its own colour, with labels set along them.</summary>
internal sealed class Isotherms
{
    private readonly List<(SKPoint[] Line, double Level)> _lines = [];
    private readonly List<Label> _labels = [];

    private Isotherms()
    {
    }

    /// <summary>The level as text in a gap of the line with the index <c>Line</c>, from and to px along it.</summary>
    private sealed record Label(int Line, float From, float To, SKPoint Centre, float Degrees, string Text);

    /// <summary>Traces the lines, and finds places for their labels among what is already there.</summary>
    /// <param name="surface">Whose lines.</param>
    /// <param name="scale">Levels lie within it.</param>
    /// <param name="frame">Of the picture.</param>
    /// <param name="space">Of the labels.</param>
    public static Isotherms Place(ValueSurface surface, ColourScale scale, Frame frame, LabelSpace space)
    {
        var result = new Isotherms();
        var ticks = Levels(surface.Range, scale, frame.Sizes);
        using var font = Lettering.Font(frame.Sizes.Small);
        foreach (double level in ticks.Values)
        {
            foreach (var line in Trace(surface, frame.View, level))
            {
                result._lines.Add((line, level));
                if (!frame.Sizes.IsThumbnail) result.PlaceLabels(Lettering.Number(level, ticks.Decimals), font, space);
            }
        }
        return result;
    }

    internal static Ticks Levels(ValueRange range, ColourScale scale, PictureSizes sizes)
    {
        double min = Math.Max(range.Min, scale.Min), max = Math.Min(range.Max, scale.Max);
        return max > min ? Ticks.Between(min, max, sizes.IsSmall ? 6 : 10) : new Ticks([], 1, 0);
    }

    /// <summary>The lines of one level, px.</summary>
    internal static IEnumerable<SKPoint[]> Trace(ValueSurface surface, PlanView view, double level)
    {
        const float step = 2.5f; // px between samples: finer than the eye sees in the line
        int columns = Math.Max(2, (int)(view.Target.Width / step)), rows = Math.Max(2, (int)(view.Target.Height / step));
        float stepX = view.Target.Width / columns, stepY = view.Target.Height / rows;
        // one ring of samples more, so that lines cross the board's edge
        var around = SKRect.Create(view.Target.Left - stepX, view.Target.Top - stepY, view.Target.Width + 2 * stepX, view.Target.Height + 2 * stepY);
        var samples = surface.Sample(view, around, columns + 2, rows + 2);
        return Contours.Trace(samples, columns + 2, rows + 2, (float)level)
            .Select(line => Array.ConvertAll(line, p => new SKPoint(around.Left + (p.X + 0.5f) * stepX, around.Top + (p.Y + 0.5f) * stepY)));
    }

    public void Draw(SKCanvas canvas, Frame frame, ColourField field)
    {
        using var paint = new SKPaint { IsAntialias = true, Style = SKPaintStyle.Stroke, StrokeWidth = frame.Sizes.Line * 1.15f, StrokeJoin = SKStrokeJoin.Round };
        using var font = Lettering.Font(frame.Sizes.Small);
        for (int i = 0; i < _lines.Count; i++)
        {
            paint.Color = Ink(field.Scale, _lines[i].Level);
            using var path = WithGaps(_lines[i].Line, _labels.FindAll(l => l.Line == i));
            canvas.DrawPath(path, paint);
        }
        foreach (var label in _labels)
        {
            double fraction = field.Scale.Fraction(_lines[label.Line].Level);
            canvas.Save();
            canvas.RotateDegrees(label.Degrees, label.Centre.X, label.Centre.Y);
            var ink = field.Scale.Palette.ContrastAt(fraction);
            Lettering.DrawHaloed(canvas, label.Text, label.Centre.X, label.Centre.Y + font.Size * 0.36f, SKTextAlign.Center, font, ink, field.Scale.Palette.At(fraction).WithAlpha(0xE0));
            canvas.Restore();
        }
    }

    /// <summary>The temperature along a line is one, and so is the colour under it.</summary>
    private static SKColor Ink(ColourScale scale, double level) => scale.Palette.ContrastAt(scale.Fraction(level)).WithAlpha(0xB8);

    private void PlaceLabels(string text, SKFont font, LabelSpace space)
    {
        var line = _lines[^1].Line;
        var at = Distances(line);
        float width = font.MeasureText(text) + font.Size * 0.7f, apart = font.Size * 26;
        if (at[^1] < width * 2.2f) return;
        bool isLoop = line[0] == line[^1];
        foreach (var label in Candidates(line, at, width, text).OrderBy(c => c.Bend).Select(c => c.Label).ToList())
        {
            if (_labels.Exists(l => l.Line == label.Line && Apart(l.From, label.From, isLoop ? at[^1] : float.PositiveInfinity) < apart)) continue;
            var box = TurnedBox(label, width, font.Size * 1.15f);
            if (!space.IsFreeOnBoard(box)) continue;
            space.Take(box);
            _labels.Add(label);
        }
    }

    private IEnumerable<(Label Label, float Bend)> Candidates(SKPoint[] line, float[] at, float width, string text)
    {
        const float straightEnough = 0.96f;
        float middle = at[^1] / 2, stride = width / 2;
        for (float from = stride / 2; from + width < at[^1]; from += stride)
        {
            SKPoint a = PointAt(line, at, from), b = PointAt(line, at, from + width), along = b - a;
            float straight = along.Length / width;
            if (straight < straightEnough) continue;
            float degrees = MathF.Atan2(along.Y, along.X) * 180 / MathF.PI;
            if (degrees > 90) degrees -= 180; // never upside down
            if (degrees <= -90) degrees += 180;
            var centre = new SKPoint((a.X + b.X) / 2, (a.Y + b.Y) / 2);
            // straight, level and near the middle of the line reads best
            float bend = (1 - straight) * 10 + Math.Abs(degrees) / 120 + Math.Abs(from + width / 2 - middle) / at[^1] * 0.6f;
            yield return (new Label(_lines.Count - 1, from, from + width, centre, degrees, text), bend);
        }
    }

    private static float[] Distances(SKPoint[] line)
    {
        var at = new float[line.Length];
        for (int i = 1; i < line.Length; i++) at[i] = at[i - 1] + SKPoint.Distance(line[i], line[i - 1]);
        return at;
    }

    private static SKPoint PointAt(SKPoint[] line, float[] at, float distance)
    {
        int i = Array.BinarySearch(at, distance);
        if (i >= 0) return line[i];
        i = Math.Clamp(~i, 1, line.Length - 1);
        float length = at[i] - at[i - 1], share = length > 0 ? (distance - at[i - 1]) / length : 0;
        return line[i - 1] + new SKPoint((line[i].X - line[i - 1].X) * share, (line[i].Y - line[i - 1].Y) * share);
    }

    private static SKRect TurnedBox(Label label, float width, float height)
    {
        var (sin, cos) = MathF.SinCos(label.Degrees * MathF.PI / 180);
        float w = Math.Abs(width * cos) + Math.Abs(height * sin), h = Math.Abs(width * sin) + Math.Abs(height * cos);
        return SKRect.Create(label.Centre.X - w / 2, label.Centre.Y - h / 2, w, h);
    }

    /// <summary>Distance of two places along a line, the shorter way round on a loop.</summary>
    private static float Apart(float a, float b, float loop) => Math.Min(Math.Abs(a - b), loop - Math.Abs(a - b));

    private static SKPath WithGaps(SKPoint[] line, List<Label> gaps)
    {
        using var builder = new SKPathBuilder();
        var at = Distances(line);
        var gapEnds = gaps.OrderBy(g => g.From).ToList();
        float from = 0;
        foreach (var gap in gapEnds)
        {
            AddPiece(builder, line, at, from, gap.From);
            from = gap.To;
        }
        AddPiece(builder, line, at, from, at[^1]);
        return builder.Detach();
    }

    private static void AddPiece(SKPathBuilder builder, SKPoint[] line, float[] at, float from, float to)
    {
        if (to <= from) return;
        builder.MoveTo(PointAt(line, at, from));
        for (int i = 0; i < line.Length; i++)
            if (at[i] > from && at[i] < to) builder.LineTo(line[i]);
        builder.LineTo(PointAt(line, at, to));
    }
}
