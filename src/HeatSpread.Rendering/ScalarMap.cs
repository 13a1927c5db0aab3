using HeatSpread.Boards;
using HeatSpread.Insight;
using SkiaSharp;

namespace HeatSpread.Rendering;

/// <summary>A false-colour picture of values over the plan of a board, from the ground up: what layer and difference maps have in common.</summary>
internal sealed record ScalarMap
{
    public required Board Board { get; init; }

    /// <summary>Index into the board's layers.</summary>
    public required int Layer { get; init; }

    public required ValueSurface Surface { get; init; }

    public required ColourScale Scale { get; init; }

    public required string Unit { get; init; }

    /// <summary>Follows the layer's name in the title.</summary>
    public required string Detail { get; init; }

    /// <summary>Positive numbers carry a plus sign.</summary>
    public bool IsSigned { get; init; }

    /// <summary>Where there are values; null: on the whole board.</summary>
    public Region? ValuesWithin { get; init; }

    public IReadOnlyList<HotSpot> HotSpots { get; init; } = [];

    /// <summary>Heat flow to draw; null: none.</summary>
    public FlowField? Flow { get; init; }

    public required MapOptions Options { get; init; }

    /// <summary>Part of the plan that is shown, m; null: the whole board.</summary>
    public Box? Window { get; init; }

    /// <summary>What the picture points at; null: nothing.</summary>
    public PlaceMark? Mark { get; init; }

    /// <returns>A PNG.</returns>
    public byte[] Draw()
    {
        var frame = Frame.For(Window ?? Board.Outline.Bounds, Options.Width, Options.Legend, textScale: Options.TextScale);
        return Png.Draw(frame.Width, frame.Height, frame.IsFramed ? Theme.Paper : SKColors.Transparent, canvas =>
        {
            canvas.Save();
            if (Window is not null) canvas.ClipRect(frame.View.Target);
            DrawBoard(canvas, frame);
            canvas.Restore();
            if (!frame.IsFramed) return;
            TitleLine.Draw(canvas, frame, Board.Layers[Layer].Name, Detail, Source(Board));
            Legend.Draw(canvas, frame, Scale, Surface.Range, Unit, IsSigned);
        });
    }

    /// <summary>Name and revision of a board.</summary>
    internal static string Source(Board board) => board.Revision.Length > 0 ? $"{board.Name} · {board.Revision}" : board.Name;

    private void DrawBoard(SKCanvas canvas, Frame frame)
    {
        var field = new ColourField(frame.View.Target, Surface.Pixels(frame.View), Scale);
        using var outline = frame.View.PathOf(Board.Outline);
        using var ink = field.Ink();
        DrawField(canvas, frame, field, outline);

        var space = new LabelSpace(frame.View.Target, outline);
        var hotSpots = HotSpotMarks.Place(HotSpots.Where(h => h.Layer == Layer), frame, space);
        using var parts = PartFigures.Of(Board, NearSide, withFar: true, frame.View);
        if (Options.Outlines) parts.PlaceIds(frame.Sizes, space);
        var isotherms = Options.Isotherms ? Isotherms.Place(Surface, Scale, frame, space) : null;

        canvas.Save();
        canvas.ClipPath(outline, SKClipOperation.Intersect, antialias: true);
        if (Options.Outlines) CopperEdges.Draw(canvas, Board, Layer, frame, ink);
        if (Flow is not null) FlowLines.Draw(canvas, Flow, frame, outline, ink);
        isotherms?.Draw(canvas, frame, field);
        canvas.Restore();

        DrawEdge(canvas, frame, outline);
        if (Options.Outlines)
        {
            parts.DrawOutlines(canvas, frame.Sizes, field);
            parts.DrawIds(canvas, frame.Sizes, field);
        }
        hotSpots.Draw(canvas);
        Mark?.Draw(canvas, frame);
    }

    private BoardSide NearSide => Layer > 0 && Layer == Board.Layers.Count - 1 ? BoardSide.Bottom : BoardSide.Top;

    private void DrawField(SKCanvas canvas, Frame frame, ColourField field, SKPath outline)
    {
        using var fill = field.Fill();
        using var paint = new SKPaint { IsAntialias = true };
        if (ValuesWithin is null)
        {
            paint.Shader = fill;
            canvas.DrawPath(outline, paint);
            return;
        }
        paint.Color = Theme.NoValue;
        canvas.DrawPath(outline, paint);
        using var within = frame.View.PathOf(ValuesWithin);
        canvas.Save();
        canvas.ClipPath(outline, SKClipOperation.Intersect, antialias: true);
        paint.Shader = fill;
        canvas.DrawPath(within, paint);
        canvas.Restore();
    }

    private static void DrawEdge(SKCanvas canvas, Frame frame, SKPath outline)
    {
        using var edge = new SKPaint { IsAntialias = true, Style = SKPaintStyle.Stroke, StrokeWidth = frame.Sizes.Line, Color = Theme.Edge };
        canvas.DrawPath(outline, edge);
    }
}
