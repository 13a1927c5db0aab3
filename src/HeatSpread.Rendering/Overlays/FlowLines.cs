using SkiaSharp;

namespace HeatSpread.Rendering;

/// <summary>
/// Lines along which heat flows in the plane, with arrow heads, kept evenly apart (after B. Jobard and W. Lefer, "Creating evenly-spaced
/// streamlines of arbitrary density", 1997; here the strongest flow is drawn first). Stronger where more heat flows.
/// </summary>
internal sealed class FlowLines
{
    /// <summary>px between points of a line.</summary>
    private const float Step = 2;

    /// <summary>Weaker flow than this share of the strong one is not drawn.</summary>
    private const double Weakest = 0.02;

    private readonly FlowField _flow;
    private readonly PlanView _view;
    private readonly SKPath _outline;
    private readonly float _apart;
    private readonly Dictionary<(int, int), List<SKPoint>> _drawn = [];

    private FlowLines(FlowField flow, Frame frame, SKPath outline)
    {
        (_flow, _view, _outline) = (flow, frame.View, outline);
        _apart = frame.Sizes.Text * (frame.Sizes.IsSmall ? 1.8f : 1.35f);
    }

    public static void Draw(SKCanvas canvas, FlowField flow, Frame frame, SKPath outline, SKShader ink)
    {
        using var paint = new SKPaint { IsAntialias = true, Shader = ink, StrokeWidth = frame.Sizes.Line * 1.5f, StrokeCap = SKStrokeCap.Round, StrokeJoin = SKStrokeJoin.Round };
        foreach (var line in new FlowLines(flow, frame, outline).Trace()) DrawLine(canvas, line, flow, frame, paint);
    }

    /// <summary>The lines, px, each from hot to cold.</summary>
    internal static IReadOnlyList<SKPoint[]> Trace(FlowField flow, Frame frame, SKPath outline) => [.. new FlowLines(flow, frame, outline).Trace()];

    private IEnumerable<SKPoint[]> Trace()
    {
        if (_flow.Strong <= 0) yield break;
        foreach (var seed in Seeds())
        {
            if (!IsClear(seed, _apart)) continue;
            var upstream = Follow(seed, -1);
            upstream.Reverse();
            SKPoint[] line = [.. upstream, seed, .. Follow(seed, 1)];
            if (line.Length * Step < 2.5f * _apart) continue;
            foreach (var p in line) Mark(p);
            yield return line;
        }
    }

    /// <summary>A lattice over the board, strongest flow first.</summary>
    private IEnumerable<SKPoint> Seeds()
    {
        float pitch = _apart * 0.8f;
        int columns = (int)(_view.Target.Width / pitch), rows = (int)(_view.Target.Height / pitch);
        var places =
            from row in Enumerable.Range(0, rows)
            from column in Enumerable.Range(0, columns)
            let p = new SKPoint(_view.Target.Left + (column + 0.5f) * pitch, _view.Target.Top + (row + 0.5f) * pitch)
            let size = Size(p)
            where size > Weakest * 2 && _outline.Contains(p.X, p.Y)
            orderby size descending, row, column
            select p;
        return places;
    }

    private List<SKPoint> Follow(SKPoint from, int sign)
    {
        const float closest = 0.5f; // of the distance wanted: lines may draw together where the flow does
        var points = new List<SKPoint>();
        int most = (int)(2 * (_view.Target.Width + _view.Target.Height) / Step);
        var p = from;
        while (points.Count < most && Direction(p) is { } first)
        {
            // midpoint rule
            if (Direction(p + Scaled(first, sign * Step / 2)) is not { } along) break;
            p += Scaled(along, sign * Step);
            if (!_outline.Contains(p.X, p.Y) || !IsClear(p, _apart * closest)) break;
            points.Add(p);
        }
        return points;
    }

    /// <summary>Of the flow, in the picture; null where there is next to none.</summary>
    private SKPoint? Direction(SKPoint at)
    {
        var (x, y) = _flow.At(_view.ToPlan(at.X, at.Y));
        double size = Math.Sqrt(x * x + y * y);
        if (size < Weakest * _flow.Strong) return null;
        return new SKPoint((float)(_view.Mirrored ? -x / size : x / size), (float)(-y / size));
    }

    private double Size(SKPoint at) => Size(_flow, _view, at);

    private static double Size(FlowField flow, PlanView view, SKPoint at)
    {
        var (x, y) = flow.At(view.ToPlan(at.X, at.Y));
        return Math.Sqrt(x * x + y * y) / flow.Strong;
    }

    private (int, int) Bin(SKPoint p) => ((int)MathF.Floor(p.X / _apart), (int)MathF.Floor(p.Y / _apart));

    private void Mark(SKPoint p)
    {
        var bin = Bin(p);
        if (!_drawn.TryGetValue(bin, out var points)) _drawn[bin] = points = [];
        points.Add(p);
    }

    private bool IsClear(SKPoint p, float distance)
    {
        var (column, row) = Bin(p);
        for (int r = row - 1; r <= row + 1; r++)
            for (int c = column - 1; c <= column + 1; c++)
                if (_drawn.TryGetValue((c, r), out var points) && points.Exists(q => SKPoint.DistanceSquared(p, q) < distance * distance)) return false;
        return true;
    }

    private static SKPoint Scaled(SKPoint p, float factor) => new(p.X * factor, p.Y * factor);

    private static void DrawLine(SKCanvas canvas, SKPoint[] line, FlowField flow, Frame frame, SKPaint paint)
    {
        const int piece = 6; // points drawn in one strength
        paint.Style = SKPaintStyle.Stroke;
        for (int i = 0; i + 1 < line.Length; i += piece)
        {
            using var builder = new SKPathBuilder();
            builder.MoveTo(line[i]);
            for (int j = i + 1; j <= Math.Min(i + piece, line.Length - 1); j++) builder.LineTo(line[j]);
            using var path = builder.Detach();
            paint.Color = Strength(flow, frame.View, line[i]);
            paint.StrokeCap = SKStrokeCap.Butt;
            canvas.DrawPath(path, paint);
        }
        DrawHead(canvas, line, frame.Sizes.Text * 0.42f, flow, frame, paint);
    }

    private static SKColor Strength(FlowField flow, PlanView view, SKPoint at) =>
        SKColors.Black.WithAlpha((byte)Math.Clamp(255 * (0.25 + 0.7 * Math.Sqrt(Size(flow, view, at))), 0, 240));

    private static void DrawHead(SKCanvas canvas, SKPoint[] line, float size, FlowField flow, Frame frame, SKPaint paint)
    {
        int at = line.Length * 6 / 10, back = Math.Max(0, at - (int)Math.Ceiling(size / Step));
        var tip = line[at];
        SKPoint along = tip - line[back];
        float length = along.Length;
        if (length <= 0) return;
        var unit = Scaled(along, size / length);
        var across = new SKPoint(-unit.Y * 0.55f, unit.X * 0.55f);
        using var builder = new SKPathBuilder();
        builder.MoveTo(tip + Scaled(unit, 0.5f));
        builder.LineTo(tip - Scaled(unit, 0.7f) + across);
        builder.LineTo(tip - Scaled(unit, 0.7f) - across);
        builder.Close();
        using var head = builder.Detach();
        paint.Style = SKPaintStyle.Fill;
        paint.Color = Strength(flow, frame.View, tip);
        canvas.DrawPath(head, paint);
    }
}
