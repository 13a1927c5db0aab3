using SkiaSharp;

namespace HeatSpread.Rendering.Reports;

/// <summary>Writes a report as pages of vector text and pictures.</summary>
internal static class PdfReport
{
    private const string Program = "HeatSpread";

    public static byte[] Write(ReportDocument report, PaperSize paper)
    {
        var flow = new PageFlow(PageFormat.Of(paper));
        SetTitle(flow, report);
        var setter = new BlockSetter(flow);
        foreach (var (index, section) in report.Sections.Index())
        {
            setter.Await(TextStyle.Heading, $"{index + 1}  {section.Heading}", index == 0 ? 0 : 10, 5);
            foreach (var block in section.Blocks) setter.Set(block);
        }
        return Print(flow, report);
    }

    private static void SetTitle(PageFlow flow, ReportDocument report)
    {
        TextLines title = TextLines.Break(report.Title, TextStyle.Title, flow.Width), subject = TextLines.Break(report.Subject, TextStyle.Subject, flow.Width);
        var date = TextLines.Break($"Solved {ReportText.Time(report.Date)}. A computed temperature is no measurement.", TextStyle.Name, flow.Width);
        float height = title.Height + subject.Height + date.Height + 12;
        flow.Place(height, (canvas, top) =>
        {
            title.Draw(canvas, flow.Left, top - 14);
            subject.Draw(canvas, flow.Left, top - 12 + title.Height);
            date.Draw(canvas, flow.Left, top - 9 + title.Height + subject.Height);
            using var rule = new SKPaint { Color = Theme.Edge, StrokeWidth = 1.2f };
            canvas.DrawLine(flow.Left, top + height - 14, flow.Left + flow.Width, top + height - 14, rule);
        });
    }

    private static byte[] Print(PageFlow flow, ReportDocument report)
    {
        using var stream = new MemoryStream();
        var format = flow.Format;
        using (var document = SKDocument.CreatePdf(stream, Metadata(report)) ?? throw new InvalidOperationException("no PDF can be written"))
        {
            for (int page = 0; page < flow.Pages.Count; page++)
            {
                var canvas = document.BeginPage(format.Width, format.Height);
                DrawMargins(canvas, format, report, page, flow.Pages.Count);
                foreach (var draw in flow.Pages[page]) draw(canvas);
                document.EndPage();
            }
            document.Close();
        }
        return stream.ToArray();
    }

    /// <summary>Dates are those of the solution, so that the same input is the same file.</summary>
    private static SKDocumentPdfMetadata Metadata(ReportDocument report) => new()
    {
        Title = ReportText.Visible($"{report.Title}: {report.Subject}"),
        Subject = ReportText.Visible($"Solution {report.Reference}"),
        Creator = Program,
        Producer = Program,
        Creation = report.Date.UtcDateTime,
        Modified = report.Date.UtcDateTime,
        RasterDpi = 300,
        EncodingQuality = 101, // without loss
    };

    private static void DrawMargins(SKCanvas canvas, PageFormat format, ReportDocument report, int page, int pages)
    {
        var style = TextStyle.Margin;
        using var font = style.Font();
        using var ink = new SKPaint { IsAntialias = true, Color = style.Ink, StrokeWidth = 0.4f };
        var area = format.Text;
        string subject = Lettering.Fit(ReportFont.Known($"{report.Title} · {report.Subject}"), font, area.Width - 90);
        if (page > 0)
        {
            canvas.DrawText(subject, area.Left, PageFormat.HeaderBaseline, SKTextAlign.Left, font, ink);
            canvas.DrawText(ReportText.Day(report.Date), area.Right, PageFormat.HeaderBaseline, SKTextAlign.Right, font, ink);
            canvas.DrawLine(area.Left, PageFormat.HeaderBaseline + 5, area.Right, PageFormat.HeaderBaseline + 5, ink);
        }
        canvas.DrawText($"Solution {report.Reference} · computed, not measured", area.Left, format.FooterBaseline, SKTextAlign.Left, font, ink);
        canvas.DrawText($"Page {page + 1} of {pages}", area.Right, format.FooterBaseline, SKTextAlign.Right, font, ink);
    }
}
