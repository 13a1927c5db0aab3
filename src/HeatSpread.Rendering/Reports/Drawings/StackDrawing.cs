using HeatSpread.Boards;
using SkiaSharp;

namespace HeatSpread.Rendering.Reports;

/// <summary>The stack as a cross-section: a bar a row, with its thickness, material, conductivities and copper share beside it.</summary>
internal static class StackDrawing
{
    private const float Width = 460, BarLeft = 58, BarWidth = 110, Text = 7.6f, Gap = 7;

    /// <summary>Heights on paper, so that each row has room for its words, and many rows still leave half of a page.</summary>
    private const float LeastHeight = 10, GreatestHeight = 36, Whole = 200;

    public static LinePicture Of(ReportSubject subject)
    {
        var rows = subject.Board.Rows;
        float[] heights = [.. rows.Select(row => Height(row, rows.Max(other => other.Thickness), rows.Count))];
        return new(canvas => Draw(canvas, subject, heights), $"Cross-section of the stack, {rows.Count} rows; the table below has its numbers", Width, heights.Sum() + 4);
    }

    /// <summary>By the root of the thickness: a mask and a core are a hundred times apart.</summary>
    private static float Height(StackRow row, double thickest, int rows) =>
        Math.Max(LeastHeight, Math.Min(GreatestHeight, 2 * Whole / rows) * (float)Math.Sqrt(row.Thickness / thickest));

    private static void Draw(SKCanvas canvas, ReportSubject subject, float[] heights)
    {
        using var font = Lettering.Font(Text);
        using var ink = new SKPaint { IsAntialias = true, Color = Theme.Ink };
        using var edge = new SKPaint { IsAntialias = true, Color = Theme.Edge, Style = SKPaintStyle.Stroke, StrokeWidth = 0.6f };
        using var fill = new SKPaint { IsAntialias = true };
        float top = 2;
        for (int i = 0; i < heights.Length; i++)
        {
            var row = subject.Board.Rows[i];
            var bar = SKRect.Create(BarLeft, top, BarWidth, heights[i]);
            fill.Color = ReportLook.Row(row.Kind);
            canvas.DrawRect(bar, fill);
            if (row.Kind == StackRowKind.Dielectric) DrawWeave(canvas, bar);
            canvas.DrawRect(bar, edge);
            float baseline = bar.MidY + Text * 0.36f;
            canvas.DrawText(Lettering.Fit(ReportFont.Known(row.Name ?? BoardSection.Kind(row.Kind)), font, BarLeft - Gap), BarLeft - Gap, baseline, SKTextAlign.Right, font, ink);
            canvas.DrawText(Lettering.Fit(ReportFont.Known(Words(subject, i)), font, Width - bar.Right - Gap), bar.Right + Gap, baseline, SKTextAlign.Left, font, ink);
            top = bar.Bottom;
        }
    }

    private static string Words(ReportSubject subject, int index)
    {
        var row = subject.Board.Rows[index];
        string thickness = $"{ReportText.Micrometres(row.Thickness)} µm", fill = $"{subject.RowMaterials[index] ?? "as given"}, k {ReportText.Significant(row.Fill.InPlane)} / {ReportText.Significant(row.Fill.Through)}";
        return BoardSection.CopperShare(subject, index) is { } share
            ? $"{thickness} copper, k {ReportText.Significant(row.CopperConductivity)}, {ReportText.Percent(share)} % copper; between: {fill}"
            : $"{thickness} {fill}";
    }

    /// <summary>Lines across, so that laminate is told from copper in grey.</summary>
    private static void DrawWeave(SKCanvas canvas, SKRect bar)
    {
        using var line = new SKPaint { IsAntialias = true, Color = ReportLook.Weave, Style = SKPaintStyle.Stroke, StrokeWidth = 0.5f };
        canvas.Save();
        canvas.ClipRect(bar);
        for (float x = bar.Left - bar.Height; x < bar.Right; x += 6) canvas.DrawLine(x, bar.Bottom, x + bar.Height, bar.Top, line);
        canvas.Restore();
    }
}
