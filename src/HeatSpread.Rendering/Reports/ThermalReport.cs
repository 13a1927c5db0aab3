namespace HeatSpread.Rendering.Reports;

/// <summary>The document that a reviewer files: what was asked, what came of it and why, and what it is worth. Both forms say the same.</summary>
public static class ThermalReport
{
    /// <param name="subject">What it is about.</param>
    /// <param name="paper">For printing.</param>
    /// <returns>One page of HTML, UTF-8, that holds its pictures and asks for nothing else; the same bytes for the same input.</returns>
    public static byte[] Html(ReportSubject subject, PaperSize paper)
    {
        ArgumentNullException.ThrowIfNull(subject);
        return HtmlReport.Write(ReportContents.Of(subject), paper);
    }

    /// <param name="subject">What it is about.</param>
    /// <param name="paper">Of the pages.</param>
    /// <returns>A PDF with its font in it, whose text can be searched; the same bytes for the same input.</returns>
    public static byte[] Pdf(ReportSubject subject, PaperSize paper)
    {
        ArgumentNullException.ThrowIfNull(subject);
        return PdfReport.Write(ReportContents.Of(subject), paper);
    }

    /// <summary>What <see cref="Html"/> needs of a browser: the value of a header <c>Content-Security-Policy</c>.</summary>
    public static string HtmlPolicy => HtmlReport.Policy + "; frame-ancestors 'none'";
}
