using HeatSpread.Boards;
using SkiaSharp;

namespace HeatSpread.Rendering;

/// <summary>Outlines and ids of parts. Parts of the far side are dashed, and named only where they are hot ones.</summary>
internal sealed class PartFigures : IDisposable
{
    private readonly List<Figure> _figures;

    private PartFigures(List<Figure> figures) => _figures = figures;

    private sealed record Figure(Part Part, SKPath Outline, SKRect Box, bool IsFar)
    {
        public SKRect? Label { get; set; }
    }

    /// <param name="board">Whose parts.</param>
    /// <param name="near">The side looked at.</param>
    /// <param name="withFar">Those of the other side too.</param>
    /// <param name="view">Of the picture.</param>
    public static PartFigures Of(Board board, BoardSide near, bool withFar, PlanView view)
    {
        var figures = new List<Figure>();
        foreach (var part in board.Parts.Where(p => withFar || p.Side == near))
        {
            var outline = view.PathOf(part.Body ?? new Region([]));
            var box = part.Body is null ? PadBox(part, view) : outline.Bounds;
            figures.Add(new Figure(part, outline, box, part.Side != near));
        }
        return new PartFigures(figures);
    }

    public void Dispose() => _figures.ForEach(f => f.Outline.Dispose());

    /// <summary>Finds places for the ids: the hottest parts choose first, then the largest.</summary>
    public void PlaceIds(PictureSizes sizes, LabelSpace space)
    {
        if (sizes.IsThumbnail) return;
        using var font = IdFont(sizes);
        var ranked = _figures.OrderBy(f => f.IsFar).ThenByDescending(f => f.Part.Watts).ThenByDescending(f => f.Box.Width * f.Box.Height).ThenBy(f => f.Part.Id, StringComparer.Ordinal);
        foreach (var figure in ranked)
        {
            var size = new SKSize(font.MeasureText(figure.Part.Id) + font.Size * 0.3f, font.Size * 1.15f);
            bool isHeater = figure.Part.Watts > 0, fits = size.Width < figure.Box.Width * 1.6f && size.Height < figure.Box.Height * 1.6f;
            if (!isHeater && (figure.IsFar || !fits)) continue; // a small part's name would say more than the part itself
            var others = _figures.Where(f => f != figure && !f.Box.IntersectsWith(figure.Box)).Select(f => f.Box).ToList();
            figure.Label = space.PlaceOnBoard(size, Places(figure.Box, size, font.Size * 0.2f), others, mustAvoid: !isHeater);
        }
    }

    public void DrawOutlines(SKCanvas canvas, PictureSizes sizes, ColourField field)
    {
        using var dashes = SKPathEffect.CreateDash([sizes.Line * 4, sizes.Line * 3], 0);
        foreach (var figure in _figures)
        {
            // one tone for a whole part, with a breath of the opposite around it for where the part lies across light and dark
            var ink = field.ContrastAt(new SKPoint(figure.Box.MidX, figure.Box.MidY));
            var casing = ink == SKColors.White ? Theme.Night : SKColors.White;
            using var paint = new SKPaint { IsAntialias = true, Style = SKPaintStyle.Stroke, StrokeJoin = SKStrokeJoin.Round, PathEffect = figure.IsFar ? dashes : null };
            paint.StrokeWidth = sizes.Line * (figure.IsFar ? 2.2f : 3.2f);
            paint.Color = casing.WithAlpha(0x40);
            canvas.DrawPath(figure.Outline, paint);
            paint.StrokeWidth = sizes.Line * (figure.IsFar ? 1f : 1.5f);
            paint.Color = ink.WithAlpha(figure.IsFar ? (byte)0xB0 : (byte)0xE6);
            canvas.DrawPath(figure.Outline, paint);
        }
    }

    /// <summary>Faint outlines, where the bodies themselves are shown.</summary>
    public void DrawHints(SKCanvas canvas, PictureSizes sizes, SKShader ink)
    {
        using var paint = new SKPaint { IsAntialias = true, Style = SKPaintStyle.Stroke, StrokeWidth = sizes.Line * 0.8f, Shader = ink, Color = SKColors.Black.WithAlpha(0x60) };
        foreach (var figure in _figures) canvas.DrawPath(figure.Outline, paint);
    }

    /// <param name="canvas">Of the picture.</param>
    /// <param name="sizes">Of text.</param>
    /// <param name="field">Under the ids.</param>
    public void DrawIds(SKCanvas canvas, PictureSizes sizes, ColourField field)
    {
        using var font = IdFont(sizes);
        foreach (var figure in _figures)
        {
            if (figure.Label is not { } box) continue;
            var middle = new SKPoint(box.MidX, box.MidY);
            var ink = field.ContrastAt(middle);
            Lettering.DrawHaloed(canvas, figure.Part.Id, box.MidX, box.MidY + font.Size * 0.36f, SKTextAlign.Center, font, ink, field.ColourAt(middle).WithAlpha(0xC0));
        }
    }

    private static SKFont IdFont(PictureSizes sizes) => Lettering.Font(sizes.Small, strong: true);

    private static IEnumerable<SKPoint> Places(SKRect box, SKSize label, float gap)
    {
        var middle = new SKPoint(box.MidX, box.MidY);
        bool inside = label.Width < box.Width && label.Height < box.Height;
        var around = LabelSpace.Around(box, label, gap);
        return inside ? around.Prepend(middle) : around.Append(middle);
    }

    private static SKRect PadBox(Part part, PlanView view)
    {
        var box = part.Terminals.Aggregate(Box.Empty, (all, t) => all.Include(t.Pad.Bounds));
        SKPoint a = view.ToPixel(new(box.MinX, box.MinY)), b = view.ToPixel(new(box.MaxX, box.MaxY));
        return new SKRect(Math.Min(a.X, b.X), Math.Min(a.Y, b.Y), Math.Max(a.X, b.X), Math.Max(a.Y, b.Y));
    }
}
