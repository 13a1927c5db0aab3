using SkiaSharp;

namespace HeatSpread.Rendering.Reports;

/// <summary>Bars of the heat by way out, with the watts written beside them.</summary>
internal static class HeatBars
{
    private const float Width = 460, RowHeight = 15, Names = 120, Numbers = 90, Text = 8.5f;

    /// <summary>Bars drawn; a board of more contacts shows the largest.</summary>
    private const int Most = 14;

    public static LinePicture Of(IReadOnlyList<(string Name, double Watts)> ways, double dissipated)
    {
        (string Name, double Watts)[] shown = [.. ways.OrderByDescending(way => Math.Abs(way.Watts)).Take(Most)];
        double most = Math.Max(shown.Select(way => Math.Abs(way.Watts)).DefaultIfEmpty(0).Max(), 1e-12);
        string words = string.Join(", ", shown.Select(way => $"{way.Name} {ReportText.Watts(way.Watts)} W"));
        return new(canvas => Draw(canvas, shown, most, dissipated), $"Bars of the heat by way out: {words}", Width, RowHeight * shown.Length + 4);
    }

    private static void Draw(SKCanvas canvas, (string Name, double Watts)[] ways, double most, double dissipated)
    {
        using var font = Lettering.Font(Text);
        using var ink = new SKPaint { IsAntialias = true, Color = Theme.Ink };
        using var bar = new SKPaint { IsAntialias = true, Color = ReportLook.Bar };
        using var coming = new SKPaint { IsAntialias = true, Color = Theme.Ink, Style = SKPaintStyle.Stroke, StrokeWidth = 0.8f };
        for (int i = 0; i < ways.Length; i++)
        {
            float top = 2 + i * RowHeight, baseline = top + RowHeight * 0.5f + Text * 0.36f, length = (float)(Math.Abs(ways[i].Watts) / most) * (Width - Names - Numbers);
            canvas.DrawText(Lettering.Fit(ReportFont.Known(ways[i].Name), font, Names - 8), Names - 8, baseline, SKTextAlign.Right, font, ink);
            var box = SKRect.Create(Names, top + 2, Math.Max(length, 0.5f), RowHeight - 4);
            canvas.DrawRect(box, ways[i].Watts < 0 ? coming : bar); // heat that comes in is a hollow bar
            string share = dissipated > 0 ? $"{ReportText.Watts(ways[i].Watts)} W, {ReportText.Percent(ways[i].Watts / dissipated)} %" : $"{ReportText.Watts(ways[i].Watts)} W";
            canvas.DrawText(share, box.Right + 5, baseline, SKTextAlign.Left, font, ink);
        }
        canvas.DrawLine(Names, 0, Names, RowHeight * ways.Length + 4, coming);
    }
}
