using HeatSpread.Boards;
using HeatSpread.Thermal;
using SkiaSharp;

namespace HeatSpread.Rendering;

/// <summary>What a thermal camera would show of one side: the outer face, with the parts' bodies at their case temperature.</summary>
public static class CameraView
{
    /// <param name="board">The board.</param>
    /// <param name="field">Its temperatures.</param>
    /// <param name="side">Looked at.</param>
    /// <param name="options">How it is drawn; isotherms and flow are not drawn, outlines means the parts' ids.</param>
    /// <returns>A PNG, the same bytes for the same input; the bottom is shown as a camera below the board would see it.</returns>
    /// <exception cref="ArgumentException">An option is out of range, or the palette unknown.</exception>
    public static byte[] Draw(Board board, TemperatureField field, BoardSide side, MapOptions options)
    {
        ArgumentNullException.ThrowIfNull(board);
        ArgumentNullException.ThrowIfNull(field);
        ArgumentNullException.ThrowIfNull(options);
        const float padding = 1.6f;
        var frame = Frame.For(board.Outline.Bounds, options.Width, options.Legend, mirrored: side == BoardSide.Bottom, padding, options.TextScale);
        using var scene = CameraScene.Of(board, field, side, frame.View);
        var scale = ColourScale.For(scene.Range, options.MinCelsius, options.MaxCelsius, Palettes.Find(options.Palette ?? Palettes.Camera));
        return Png.Draw(frame.Width, frame.Height, frame.IsFramed ? Theme.Paper : SKColors.Transparent, canvas =>
        {
            if (frame.IsFramed) DrawPanel(canvas, frame);
            DrawScene(canvas, frame, board, side, scene, scale, options);
            if (!frame.IsFramed) return;
            string seen = side == BoardSide.Top ? "Top" : "Bottom, seen from below";
            TitleLine.Draw(canvas, frame, seen, Legend.RangeText(scene.Range, "°C"), ScalarMap.Source(board));
            Legend.Draw(canvas, frame, scale, scene.Range, "°C");
        });
    }

    /// <summary>The temperatures of that view as numbers.</summary>
    /// <param name="board">The board.</param>
    /// <param name="field">Its temperatures.</param>
    /// <param name="side">Looked at.</param>
    /// <param name="columns">Places along x, 1 to 4096; along y as many as keep them square.</param>
    /// <returns>°C, <c>[row * columns + column]</c> over the outline's bounding box, row 0 at the lowest y and not mirrored on either side; NaN outside the board.</returns>
    public static (float[] Celsius, int Columns, int Rows) Read(Board board, TemperatureField field, BoardSide side, int columns)
    {
        ArgumentNullException.ThrowIfNull(board);
        ArgumentNullException.ThrowIfNull(field);
        ArgumentOutOfRangeException.ThrowIfNegativeOrZero(columns);
        ArgumentOutOfRangeException.ThrowIfGreaterThan(columns, 4096);
        var box = board.Outline.Bounds;
        int rows = Math.Max(1, (int)Math.Round(columns * box.Height / box.Width));
        using var scene = CameraScene.Of(board, field, side, new PlanView(box, SKRect.Create(columns, rows), Mirrored: false));
        var upwards = new float[columns * rows];
        for (int row = 0; row < rows; row++) scene.Seen.AsSpan((rows - 1 - row) * columns, columns).CopyTo(upwards.AsSpan(row * columns));
        return (upwards, columns, rows);
    }

    private static void DrawPanel(SKCanvas canvas, Frame frame)
    {
        using var night = new SKPaint { IsAntialias = true, Color = Theme.Night };
        var panel = new SKRect(frame.Title.Left, frame.Title.Bottom, frame.Title.Right, frame.Legend.Top);
        canvas.DrawRoundRect(panel, frame.Sizes.Text * 0.5f, frame.Sizes.Text * 0.5f, night);
    }

    private static void DrawScene(SKCanvas canvas, Frame frame, Board board, BoardSide side, CameraScene scene, ColourScale scale, MapOptions options)
    {
        var field = new ColourField(frame.View.Target, scene.Celsius, scale);
        using var fill = field.Fill();
        using var paint = new SKPaint { IsAntialias = true, Shader = fill };
        canvas.DrawPath(scene.Silhouette, paint);
        DrawRim(canvas, frame, scene.Silhouette);
        var space = new LabelSpace(frame.View.Target, scene.Silhouette);
        if (options.Legend) CrossMarks.Draw(canvas, frame, scene, space);
        if (!options.Outlines) return;
        using var parts = PartFigures.Of(board, side, withFar: false, frame.View);
        parts.PlaceIds(frame.Sizes, space);
        using var ink = field.Ink();
        parts.DrawHints(canvas, frame.Sizes, ink);
        parts.DrawIds(canvas, frame.Sizes, field);
    }

    /// <summary>A cold board would be lost before the dark ground.</summary>
    private static void DrawRim(SKCanvas canvas, Frame frame, SKPath silhouette)
    {
        using var rim = new SKPaint { IsAntialias = true, Style = SKPaintStyle.Stroke, StrokeWidth = frame.Sizes.Line, Color = new SKColor(0x8A, 0x93, 0x9E, 0xA0) };
        canvas.DrawPath(silhouette, rim);
    }
}
