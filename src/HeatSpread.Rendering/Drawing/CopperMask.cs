using System.Buffers;
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
    private readonly SKPaint _paint = new() { IsAntialias = true, Color = SKColors.Black, StrokeCap = SKStrokeCap.Round, StrokeJoin = SKStrokeJoin.Round };

    private CopperMask(Box box, double pixelsPerMeter)
    {
        _columns = (int)Math.Ceiling(box.Width * pixelsPerMeter);
        _rows = (int)Math.Ceiling(box.Height * pixelsPerMeter);
        _view = new PlanView(box, new SKRect(0, 0, _columns, _rows), Mirrored: false);
        _copper = ArrayPool<byte>.Shared.Rent(_columns * _rows);
        _owner = ArrayPool<short>.Shared.Rent(_columns * _rows);
        Array.Clear(_copper);
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
        _paint.Dispose();
        _canvas.Dispose();
        _shape.Dispose();
        ArrayPool<byte>.Shared.Return(_copper);
        ArrayPool<short>.Shared.Return(_owner);
    }

    private void PaintLayer(Board board, int layer)
    {
        foreach (var feature in board.Copper.Where(f => f.Layer == layer)) PaintFeature(feature);
        foreach (var group in board.Vias.Where(g => g.FromLayer <= layer && layer <= g.ToLayer)) PaintVias(group);
        foreach (var part in board.Parts)
            foreach (var terminal in part.Terminals.Where(t => part.SidesOf(t).Any(side => OuterLayer(board, side) == layer))) PaintFeature(new CopperFeature { Layer = layer, Net = terminal.Net, Area = terminal.Pad });
    }

    private static int OuterLayer(Board board, BoardSide side) => side == BoardSide.Top ? 0 : board.Layers.Count - 1;

    private void PaintFeature(CopperFeature feature)
    {
        var act = feature.IsClear ? Act.Clear : Act.Paint;
        if (feature.Area is { } area)
        {
            if (feature.Clearance > 0) ApplyArea(area, feature.Clearance, feature.Net, Act.ClearOthers);
            ApplyArea(area, 0, feature.Net, act);
            return;
        }
        // all of a track clears before any of it paints: copper of no net would clear its own beginning
        if (feature.Clearance > 0) ApplyTrack(feature.Track!, feature.Clearance, feature.Net, Act.ClearOthers);
        ApplyTrack(feature.Track!, 0, feature.Net, act);
    }

    private void PaintVias(ViaGroup group)
    {
        if (group.Clearance > 0)
            foreach (var at in group.At) ApplyLine(at, at, group.Drill + 2 * group.Clearance, group.Net, Act.ClearOthers);
        if (group.Pad > 0)
            foreach (var at in group.At) ApplyLine(at, at, group.Pad, group.Net, Act.Paint);
    }

    private enum Act
    {
        Paint,
        Clear,
        ClearOthers,
    }

    /// <summary>Acts with a region and what lies within a distance of it.</summary>
    private void ApplyArea(Region region, double around, int net, Act act)
    {
        using var path = _view.PathOf(region);
        float stroke = (float)(2 * around * _view.PixelsPerMeter);
        _paint.Style = SKPaintStyle.Fill;
        _canvas.DrawPath(path, _paint);
        if (stroke > 0)
        {
            _paint.Style = SKPaintStyle.Stroke;
            _paint.StrokeWidth = stroke;
            _canvas.DrawPath(path, _paint);
        }
        ActWithin(path.Bounds, stroke / 2, net, act);
    }

    private void ApplyTrack(Track track, double around, int net, Act act)
    {
        double width = track.Width + 2 * around;
        if (track.Path.Count == 1) ApplyLine(track.Path[0], track.Path[0], width, net, act);
        for (int i = 1; i < track.Path.Count; i++) ApplyLine(track.Path[i - 1], track.Path[i], width, net, act);
    }

    /// <summary>Acts with a line of round ends; a disc where the ends are one point.</summary>
    private void ApplyLine(Point from, Point to, double width, int net, Act act)
    {
        SKPoint a = _view.ToPixel(from), b = _view.ToPixel(to);
        float stroke = (float)(width * _view.PixelsPerMeter);
        if (a == b)
        {
            _paint.Style = SKPaintStyle.Fill;
            _canvas.DrawCircle(a, stroke / 2, _paint);
        }
        else
        {
            _paint.Style = SKPaintStyle.Stroke;
            _paint.StrokeWidth = stroke;
            _canvas.DrawLine(a, b, _paint);
        }
        ActWithin(new SKRect(Math.Min(a.X, b.X), Math.Min(a.Y, b.Y), Math.Max(a.X, b.X), Math.Max(a.Y, b.Y)), stroke / 2, net, act);
    }

    /// <summary>Acts with what was drawn into the scratch image, and wipes it.</summary>
    private void ActWithin(SKRect bounds, float grow, int net, Act act)
    {
        bounds.Inflate(grow + 1, grow + 1);
        var area = SKRectI.Intersect(SKRectI.Ceiling(bounds, outwards: true), new SKRectI(0, 0, _columns, _rows));
        for (int y = area.Top; y < area.Bottom; y++) ActOnRow(area, y, net, act);
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
        const float half = 127.5f, tolerance = 0.2f;
        Point ToPlan(SKPoint p) => _view.ToPlan(p.X + 0.5, p.Y + 0.5); // a sample stands for its pixel's centre
        return [.. Contours.Trace<byte>(_copper.AsSpan(0, _columns * _rows), _columns, _rows, half).Select(line => Array.ConvertAll(Contours.Simplify(line, tolerance), ToPlan))];
    }
}
