using HeatSpread.Boards;
using SkiaSharp;

namespace HeatSpread.Rendering;

/// <summary>
/// Thin lines along the edges of a layer's final copper. Where they crowd they are drawn fainter, so that they never tint the map: its
/// colours must stay readable as temperatures.
/// </summary>
internal sealed class CopperEdges
{
    /// <summary>Fine enough for the narrowest cuts and tracks in use, about 0.1 mm.</summary>
    private const double FinestPixelsPerMeter = 18e3;

    /// <summary>Finer than this many times the picture would not show.</summary>
    private const double FinestOfPicture = 3;

    /// <summary>Bounds time and memory on large boards and in large pictures.</summary>
    private const double MostPixels = 4e6;

    /// <summary>Share of a neighbourhood that lines may cover in full strength.</summary>
    private const float FullStrengthCover = 0.10f;

    private const int Strengths = 8;

    private readonly PlanView _view;
    private readonly float _width;
    private readonly float _bin;
    private readonly int _columns;
    private readonly float[] _length;
    private readonly List<(SKPoint From, SKPoint To)> _pieces = [];

    private CopperEdges(Frame frame)
    {
        _view = frame.View;
        _width = frame.Sizes.Line * 0.8f;
        _bin = frame.Sizes.Text * 1.6f;
        _columns = (int)(_view.Target.Width / _bin) + 1;
        _length = new float[_columns * ((int)(_view.Target.Height / _bin) + 1)];
    }

    public static void Draw(SKCanvas canvas, Board board, int layer, Frame frame, SKShader ink)
    {
        var box = board.Outline.Bounds;
        double fineness = Math.Max(frame.View.PixelsPerMeter, Math.Min(FinestPixelsPerMeter, FinestOfPicture * frame.View.PixelsPerMeter));
        var edges = new CopperEdges(frame);
        foreach (var line in CopperMask.Edges(board, layer, Math.Min(fineness, Math.Sqrt(MostPixels / (box.Width * box.Height))))) edges.Add(line);
        edges.Draw(canvas, ink);
    }

    /// <summary>Strength of the lines in a neighbourhood, 0 to 1.</summary>
    /// <param name="cover">Length times width of the lines there, as a share of its area.</param>
    internal static float Strength(float cover) => Math.Clamp(FullStrengthCover / Math.Max(cover, 1e-6f), 0.08f, 1);

    private void Add(Point[] line)
    {
        var from = _view.ToPixel(line[0]);
        for (int i = 1; i < line.Length; i++)
        {
            var to = _view.ToPixel(line[i]);
            // no piece longer than a neighbourhood, so that each has the strength of its own
            int parts = Math.Max(1, (int)MathF.Ceiling(SKPoint.Distance(from, to) / _bin));
            var step = new SKPoint((to.X - from.X) / parts, (to.Y - from.Y) / parts);
            for (int part = 0; part < parts; part++, from += step)
            {
                _pieces.Add((from, from + step));
                _length[Bin(from, from + step)] += step.Length;
            }
            from = to;
        }
    }

    private void Draw(SKCanvas canvas, SKShader ink)
    {
        var builders = new SKPathBuilder?[Strengths + 1];
        foreach (var (from, to) in _pieces)
        {
            float strength = Strength(Cover(Bin(from, to)));
            var builder = builders[(int)MathF.Ceiling(strength * Strengths)] ??= new SKPathBuilder();
            builder.MoveTo(from);
            builder.LineTo(to);
        }
        using var paint = new SKPaint { IsAntialias = true, Style = SKPaintStyle.Stroke, StrokeWidth = _width, StrokeCap = SKStrokeCap.Butt, Shader = ink };
        for (int i = 0; i <= Strengths; i++)
        {
            if (builders[i] is not { } builder) continue;
            using var path = builder.Detach();
            paint.Color = SKColors.Black.WithAlpha((byte)(255 * i / Strengths));
            canvas.DrawPath(path, paint);
            builder.Dispose();
        }
    }

    private int Bin(SKPoint a, SKPoint b)
    {
        int column = Math.Clamp((int)(((a.X + b.X) / 2 - _view.Target.Left) / _bin), 0, _columns - 1);
        int row = Math.Clamp((int)(((a.Y + b.Y) / 2 - _view.Target.Top) / _bin), 0, _length.Length / _columns - 1);
        return row * _columns + column;
    }

    /// <summary>Of a bin and its eight neighbours.</summary>
    private float Cover(int bin)
    {
        int column = bin % _columns, row = bin / _columns, rows = _length.Length / _columns, count = 0;
        float sum = 0;
        for (int r = Math.Max(0, row - 1); r <= Math.Min(rows - 1, row + 1); r++)
        {
            for (int c = Math.Max(0, column - 1); c <= Math.Min(_columns - 1, column + 1); c++)
            {
                sum += _length[r * _columns + c];
                count++;
            }
        }
        return sum * _width / (count * _bin * _bin);
    }
}
