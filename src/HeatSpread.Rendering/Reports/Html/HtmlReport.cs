using System.Globalization;
using System.Net;
using System.Security.Cryptography;
using System.Text;

namespace HeatSpread.Rendering.Reports;

/// <summary>Writes a report as one page of HTML that holds its style and its pictures, for the screen, for screen readers and for paper.</summary>
internal static class HtmlReport
{
    private static readonly string Style = ReadStyle();

    private static readonly string[] PageRules = [.. Enum.GetValues<PaperSize>().Select(paper => $"@page {{ size: {(paper == PaperSize.Letter ? "letter" : "A4")}; }}\n")];

    /// <summary>No script, no request: the page's own style and pictures alone.</summary>
    public static string Policy { get; } = $"default-src 'none'; img-src data:; style-src {string.Join(' ', PageRules.Select(rule => Hash(Style + rule)))}; base-uri 'none'; form-action 'none'";

    public static byte[] Write(ReportDocument report, PaperSize paper)
    {
        var html = new StringBuilder();
        string subject = Text(report.Subject), title = $"{Text(report.Title)}: {subject}";
        html.Append("<!doctype html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n");
        html.Append(CultureInfo.InvariantCulture, $"<meta http-equiv=\"Content-Security-Policy\" content=\"{Policy}\">\n");
        html.Append("<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n<meta name=\"color-scheme\" content=\"light\">\n");
        html.Append(CultureInfo.InvariantCulture, $"<title>{title}</title>\n<style>{Style}{PageRules[(int)paper]}</style>\n</head>\n<body>\n");
        html.Append(CultureInfo.InvariantCulture, $"<header>\n<h1>{Text(report.Title)}</h1>\n<p class=\"subject\"><bdi>{subject}</bdi></p>\n");
        html.Append(CultureInfo.InvariantCulture, $"<p class=\"name\">Solved <time datetime=\"{report.Date.UtcDateTime:yyyy-MM-dd'T'HH:mm:ss'Z'}\">{ReportText.Time(report.Date)}</time>. A computed temperature is no measurement.</p>\n</header>\n");
        WriteContents(html, report);
        html.Append("<main>\n");
        foreach (var (index, section) in report.Sections.Index()) WriteSection(html, section, index + 1);
        html.Append(CultureInfo.InvariantCulture, $"</main>\n<footer><p>Solution {Text(report.Reference)} · computed, not measured</p></footer>\n</body>\n</html>\n");
        return Encoding.UTF8.GetBytes(html.ToString());
    }

    private static void WriteContents(StringBuilder html, ReportDocument report)
    {
        html.Append("<nav aria-label=\"Sections\"><ol>");
        foreach (var (index, section) in report.Sections.Index()) html.Append(CultureInfo.InvariantCulture, $"<li><a href=\"#s{index + 1}\">{Text(section.Heading)}</a></li>");
        html.Append("</ol></nav>\n");
    }

    private static void WriteSection(StringBuilder html, ReportSection section, int number)
    {
        html.Append(CultureInfo.InvariantCulture, $"<section aria-labelledby=\"s{number}\">\n<h2 id=\"s{number}\">{number}&ensp;{Text(section.Heading)}</h2>\n");
        foreach (var block in section.Blocks) HtmlBlocks.Write(html, block);
        html.Append("</section>\n");
    }

    /// <summary>Text that can do no harm in an element or in a quoted attribute.</summary>
    public static string Text(string text) => WebUtility.HtmlEncode(ReportText.Visible(text));

    private static string Hash(string style) => $"'sha256-{Convert.ToBase64String(SHA256.HashData(Encoding.UTF8.GetBytes(style)))}'";

    private static string ReadStyle()
    {
        using var reader = new StreamReader(typeof(HtmlReport).Assembly.GetManifestResourceStream("report.css") ?? throw new InvalidOperationException("the report's style is missing from the assembly"));
        return reader.ReadToEnd().ReplaceLineEndings("\n");
    }
}
