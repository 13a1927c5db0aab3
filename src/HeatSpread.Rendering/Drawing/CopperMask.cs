using HeatSpread.Boards;
using HeatSpread.Thermal;
using SkiaSharp;

namespace HeatSpread.Rendering;

/// <summary>
/// A layer's final copper as a fine grey image, painted in the board's order: clears and clearances count. For outlines in pictures
/// only; the computation uses the exact areas of <see cref="CopperRaster"/>.
/// </summary>
internal sealed class CopperMask : IDisposable
{
    private const short Nobody = -2;

    private readonly PlanView _view;
    private readonly int _columns;
    private readonly int _rows;
    private readonly byte[] _copper;
    private readonly short[] _owner;
    private readonly SKBitmap _shape;
    private readonly SKCanvas _canvas;

    private CopperMask(Box box, double pixelsPerMeter)
    {
        _columns = (int)Math.Ceiling(box.Width * pixelsPerMeter);
        _rows = (int)Math.Ceiling(box.Height * pixelsPerMeter);
        _view = new PlanView(box, new SKRect(0, 0, _columns, _rows), Mirrored: false);
        _copper = new byte[_columns * _rows];
        _owner = new short[_columns * _rows];
        Array.Fill(_owner, Nobody);
        _shape = new SKBitmap(new SKImageInfo(_columns, _rows, SKColorType.Alpha8, SKAlphaType.Premul));
        _shape.Erase(SKColors.Transparent);
        _canvas = new SKCanvas(_shape);
    }

    /// <summary>The edges of the copper of a layer.</summary>
    /// <param name="board">The board.</param>
    /// <param name="layer">Index into its layers.</param>
    /// <param name="pixelsPerMeter">Fineness of the image behind them.</param>
    /// <returns>Lines in metres; a closed one repeats its first point.</returns>
    public static IReadOnlyList<Point[]> Edges(Board board, int layer, double pixelsPerMeter)
    {
        double margin = 1.5 / pixelsPerMeter; // so that edges along the board's own edge close
        using var mask = new CopperMask(board.Outline.Bounds.Grow(margin), pixelsPerMeter);
        mask.PaintLayer(board, layer);
        return mask.Trace();
    }

    public void Dispose()
    {
        _canvas.Dispose();
        _shape.Dispose();
    }

    private void PaintLayer(Board board, int layer)
    {
        foreach (var feature in board.Copper.Where(f => f.Layer == layer)) PaintFeature(feature);
        foreach (var group in board.Vias.Where(g => g.FromLayer <= layer && layer <= g.ToLayer)) PaintVias(group);
        foreach (var part in board.Parts.Where(p => OuterLayer(board, p.Side) == layer))
            foreach (var terminal in part.Terminals) PaintFeature(new CopperFeature { Layer = layer, Net = terminal.Net, Area = terminal.Pad });
    }

    private static int OuterLayer(Board board, BoardSide side) => side == BoardSide.Top ? 0 : board.Layers.Count - 1;

    private void PaintFeature(CopperFeature feature)
    {
        using var path = feature.Area is { } area ? _view.PathOf(area) : _view.PathOf(feature.Track!.Path);
        double width = feature.Track?.Width ?? 0;
        if (feature.Clearance > 0) Apply(path, feature.Area is not null, width + 2 * feature.Clearance, feature.Net, Act.ClearOthers);
        Apply(path, feature.Area is not null, width, feature.Net, feature.IsClear ? Act.Clear : Act.Paint);
    }

    private void PaintVias(ViaGroup group)
    {
        if (group.Clearance > 0) ApplyDiscs(group, group.Drill + 2 * group.Clearance, Act.ClearOthers);
        if (group.Pad > 0) ApplyDiscs(group, group.Pad, Act.Paint);
    }

    private void ApplyDiscs(ViaGroup group, double diameter, Act act)
    {
        foreach (var at in group.At)
        {
            using var point = _view.PathOf([at]);
            Apply(point, filled: false, diameter, group.Net, act);
        }
    }

    private enum Act
    {
        Paint,
        Clear,
        ClearOthers,
    }

    /// <summary>Draws a shape into the scratch image, then acts with its coverage.</summary>
    private void Apply(SKPath path, bool filled, double strokeMeters, int net, Act act)
    {
        float stroke = (float)(strokeMeters * _view.PixelsPerMeter);
        var bounds = path.Bounds;
        bounds.Inflate(stroke / 2 + 1, stroke / 2 + 1);
        var area = SKRectI.Intersect(SKRectI.Ceiling(bounds, outwards: true), new SKRectI(0, 0, _columns, _rows));
        if (area.Width <= 0 || area.Height <= 0) return;
        using var paint = new SKPaint { IsAntialias = true, Color = SKColors.Black };
        if (filled) _canvas.DrawPath(path, paint);
        if (stroke > 0) DrawStroke(path, stroke, paint);
        for (int y = area.Top; y < area.Bottom; y++) ActOnRow(area, y, net, act);
    }

    private void DrawStroke(SKPath path, float stroke, SKPaint paint)
    {
        if (path.PointCount == 1)
        {
            var centre = path.GetPoint(0);
            _canvas.DrawCircle(centre, stroke / 2, paint); // a path of one point has no stroke
            return;
        }
        paint.Style = SKPaintStyle.Stroke;
        paint.StrokeWidth = stroke;
        paint.StrokeCap = SKStrokeCap.Round;
        paint.StrokeJoin = SKStrokeJoin.Round;
        _canvas.DrawPath(path, paint);
    }

    private void ActOnRow(SKRectI area, int y, int net, Act act)
    {
        var cover = _shape.GetPixelSpan().Slice(y * _shape.RowBytes + area.Left, area.Width);
        var paint = _copper.AsSpan(y * _columns + area.Left, area.Width);
        var owners = _owner.AsSpan(y * _columns + area.Left, area.Width);
        for (int i = 0; i < cover.Length; i++)
        {
            byte c = cover[i];
            if (c == 0) continue;
            if (act == Act.Paint)
            {
                paint[i] = (byte)Math.Min(255, paint[i] + c);
                if (c > 127) owners[i] = (short)net;
            }
            else if (act == Act.Clear || net < 0 || owners[i] != net) paint[i] = Math.Min(paint[i], (byte)(255 - c));
        }
        cover.Clear();
    }

    private List<Point[]> Trace()
    {
        var values = new float[_copper.Length];
        for (int i = 0; i < values.Length; i++) values[i] = _copper[i];
        const float half = 127.5f, tolerance = 0.2f;
        Point ToPlan(SKPoint p) => _view.ToPlan(p.X + 0.5, p.Y + 0.5); // a sample stands for its pixel's centre
        return [.. Contours.Trace(values, _columns, _rows, half).Select(line => Array.ConvertAll(Contours.Simplify(line, tolerance), ToPlan))];
    }
}
