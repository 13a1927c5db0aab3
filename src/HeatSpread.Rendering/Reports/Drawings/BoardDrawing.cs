using HeatSpread.Boards;
using SkiaSharp;

namespace HeatSpread.Rendering.Reports;

/// <summary>The board's outline with the bodies of its parts and its size, as lines.</summary>
internal static class BoardDrawing
{
    private const float Margin = 26, Text = 7.4f;

    /// <summary>Boards of more parts are drawn larger, with smaller letters.</summary>
    private const int Many = 60;

    public static Figure Of(Board board)
    {
        bool isDense = board.Parts.Count > Many;
        var (most, share) = isDense ? (new SKSize(640, 560), 1f) : (new SKSize(420, 208), 0.7f);
        var box = board.Outline.Bounds;
        float scale = (float)Math.Min((most.Width - 2 * Margin) / box.Width, (most.Height - 2 * Margin) / box.Height);
        float width = (float)(box.Width * scale), height = (float)(box.Height * scale);
        var view = new PlanView(box, SKRect.Create((most.Width - width) / 2, 4, width, height), Mirrored: false);
        string alt = $"Outline of the board, {ReportText.Millimetres(box.Width)} by {ReportText.Millimetres(box.Height)} mm, with {board.Parts.Count} parts";
        string caption = $"Outline and parts, seen from the top. Parts of the bottom are dashed.{(isDense ? " Parts without room for their name are drawn without it." : "")}";
        return new(new LinePicture(canvas => Draw(canvas, board, view), alt, most.Width, height + Margin + 4), caption, share);
    }

    private static void Draw(SKCanvas canvas, Board board, PlanView view)
    {
        using var outline = view.PathOf(board.Outline);
        using var paint = new SKPaint { IsAntialias = true, Color = ReportLook.Sheet };
        canvas.DrawPath(outline, paint);
        paint.Style = SKPaintStyle.Stroke;
        paint.Color = Theme.Edge;
        paint.StrokeWidth = 1;
        canvas.DrawPath(outline, paint);
        var space = new LabelSpace(view.Target, outline);
        foreach (var part in board.Parts.Where(part => part.Side == BoardSide.Bottom)) DrawPart(canvas, part, view);
        foreach (var part in board.Parts.Where(part => part.Side == BoardSide.Top)) DrawPart(canvas, part, view);
        (Part Part, SKRect Box)[] parts = [.. board.Parts.Select(part => (part, Extent(part, view)))];
        foreach (var (part, box) in parts.OrderByDescending(each => each.Part.Watts).ThenByDescending(each => each.Box.Width * each.Box.Height))
            DrawId(canvas, part, box, [.. parts.Where(other => other.Part != part && !other.Box.IntersectsWith(box)).Select(other => other.Box)], space);
        DrawSizes(canvas, view);
    }

    private static void DrawPart(SKCanvas canvas, Part part, PlanView view)
    {
        using var dashes = SKPathEffect.CreateDash([3, 2], 0);
        using var pads = new SKPaint { IsAntialias = true, Color = ReportLook.Pad };
        foreach (var terminal in part.Terminals.Where(terminal => part.SidesOf(terminal).Contains(BoardSide.Top)))
        {
            using var pad = view.PathOf(terminal.Pad);
            canvas.DrawPath(pad, pads);
        }
        if (part.Body is null) return;
        using var body = view.PathOf(part.Body);
        using var edge = new SKPaint { IsAntialias = true, Style = SKPaintStyle.Stroke, Color = Theme.Ink, StrokeWidth = part.Watts > 0 ? 1.1f : 0.6f, PathEffect = part.Side == BoardSide.Bottom ? dashes : null };
        canvas.DrawPath(body, edge);
    }

    private static void DrawId(SKCanvas canvas, Part part, SKRect box, SKRect[] others, LabelSpace space)
    {
        using var font = Lettering.Font(Text);
        string id = Lettering.Fit(ReportFont.Known(part.Id), font, 90);
        var size = new SKSize(font.MeasureText(id) + 2, Text * 1.15f);
        IEnumerable<SKPoint> centres = LabelSpace.Around(box, size, 1.5f);
        if (size.Width < box.Width && size.Height < box.Height) centres = centres.Prepend(new(box.MidX, box.MidY));
        if (part.Watts <= 0 && size.Width > box.Width * 2.5f) return; // a small part's name would say more than the part itself
        if (space.PlaceOnBoard(size, centres, others, mustAvoid: true) is not { } place) return;
        Lettering.DrawHaloed(canvas, id, place.MidX, place.MidY + Text * 0.36f, SKTextAlign.Center, font, Theme.Ink, ReportLook.Sheet);
    }

    private static SKRect Extent(Part part, PlanView view)
    {
        var box = part.Body?.Bounds ?? part.Terminals.Aggregate(Box.Empty, (all, terminal) => all.Include(terminal.Pad.Bounds));
        var (a, b) = (view.ToPixel(new(box.MinX, box.MaxY)), view.ToPixel(new(box.MaxX, box.MinY)));
        return new(a.X, a.Y, b.X, b.Y);
    }

    private static void DrawSizes(SKCanvas canvas, PlanView view)
    {
        using var font = Lettering.Font(Text);
        using var paint = new SKPaint { IsAntialias = true, Color = Theme.Muted, StrokeWidth = 0.6f };
        var area = view.Target;
        float y = area.Bottom + 9, x = area.Right + 9;
        canvas.DrawLine(area.Left, y, area.Right, y, paint);
        canvas.DrawLine(x, area.Top, x, area.Bottom, paint);
        foreach (float end in new[] { area.Left, area.Right }) canvas.DrawLine(end, y - 3, end, y + 3, paint);
        foreach (float end in new[] { area.Top, area.Bottom }) canvas.DrawLine(x - 3, end, x + 3, end, paint);
        canvas.DrawText($"{ReportText.Millimetres(view.Box.Width)} mm", area.MidX, y + 10, SKTextAlign.Center, font, paint);
        canvas.Save();
        canvas.RotateDegrees(-90, x + 10, area.MidY);
        canvas.DrawText($"{ReportText.Millimetres(view.Box.Height)} mm", x + 10, area.MidY, SKTextAlign.Center, font, paint);
        canvas.Restore();
    }
}
