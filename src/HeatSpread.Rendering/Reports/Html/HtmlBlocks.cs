using System.Globalization;
using System.Text;

namespace HeatSpread.Rendering.Reports;

/// <summary>The blocks of a report as HTML.</summary>
internal static class HtmlBlocks
{
    public static void Write(StringBuilder html, ReportBlock block)
    {
        switch (block)
        {
            case Paragraph paragraph: Line(html, $"<p{(paragraph.IsNote ? " class=\"note\"" : "")}>{Cell(paragraph.Text)}</p>"); break;
            case SubHeading heading: Line(html, $"<h3>{Cell(heading.Text)}</h3>"); break;
            case BulletList list: Line(html, $"<ul>{string.Concat(list.Items.Select(item => $"<li>{Cell(item)}</li>"))}</ul>"); break;
            case FactList list: Line(html, Facts(list.Facts)); break;
            case VerdictBox box: WriteVerdict(html, box); break;
            case WritingLines lines: Line(html, $"<div class=\"lines\">{string.Concat(lines.Labels.Select(label => $"<p><span>{Cell(label)}</span></p>"))}</div>"); break;
            case ReportTable table: WriteTable(html, table); break;
            case Figure figure: Line(html, Figure(figure, figure.Share)); break;
            case FigureGrid grid: Line(html, $"<div class=\"grid\">{string.Concat(grid.Figures.Select(figure => Figure(figure, 1)))}</div>"); break;
            case FindingEntry entry: WriteFinding(html, entry); break;
            default: throw new ArgumentException($"no way to write {block.GetType().Name}", nameof(block));
        }
    }

    private static void Line(StringBuilder html, string text) => html.Append(text).Append('\n');

    private static string Cell(string text) => HtmlReport.Text(text);

    /// <summary>Set apart, so that a name written from right to left does not turn what stands beside it.</summary>
    private static string Apart(string text) => text.Any(IsForeign) ? $"<bdi>{Cell(text)}</bdi>" : Cell(text);

    /// <summary>Beyond the scripts that are written from left to right without doubt.</summary>
    private static bool IsForeign(char sign) => sign is (>= '\u0590' and <= '\u08FF') or (>= '\uD800' and <= '\uDFFF') or (>= '\uFB1D' and <= '\uFDFF') or (>= '\uFE70' and <= '\uFEFF');

    private static string Facts(IEnumerable<Fact> facts) => $"<dl>{string.Concat(facts.Select(fact => $"<div><dt>{Cell(fact.Name)}</dt><dd>{Apart(fact.Value)}</dd></div>"))}</dl>";

    private static void WriteVerdict(StringBuilder html, VerdictBox box)
    {
        html.Append(CultureInfo.InvariantCulture, $"<div class=\"verdict {(box.Pass ? "pass" : "fail")}\">\n<p class=\"words\">{Cell(box.Words)}</p>\n");
        if (box.Reasons.Count > 0) Line(html, $"<ul>{string.Concat(box.Reasons.Select(reason => $"<li>{Apart(reason)}</li>"))}</ul>");
        Line(html, "</div>");
    }

    private static void WriteTable(StringBuilder html, ReportTable table)
    {
        string Class(int column) => table.Columns[column].IsNumber ? " class=\"number\"" : "";
        // the wrapper scrolls on a narrow screen, so it must be reachable by the keyboard
        html.Append(CultureInfo.InvariantCulture, $"<div class=\"table\" role=\"region\" tabindex=\"0\" aria-label=\"{Cell(table.Caption)}\"><table>\n<caption>{Cell(table.Caption)}</caption>\n<thead><tr>");
        for (int i = 0; i < table.Columns.Count; i++) html.Append(CultureInfo.InvariantCulture, $"<th scope=\"col\"{Class(i)}>{Cell(table.Columns[i].Heading)}</th>");
        html.Append("</tr></thead>\n<tbody>\n");
        foreach (var row in table.Rows)
        {
            html.Append(row.IsStrong ? "<tr class=\"strong\">" : "<tr>");
            for (int i = 0; i < row.Cells.Count; i++)
            {
                bool isHead = i == 0 && !table.Columns[0].IsNumber;
                string shape = HasLongWord(row.Cells[i]) ? " class=\"long\"" : Class(i);
                html.Append(CultureInfo.InvariantCulture, $"<{(isHead ? "th scope=\"row\"" : "td")}{shape}>{Apart(row.Cells[i])}</{(isHead ? "th" : "td")}>");
            }
            html.Append("</tr>\n");
        }
        html.Append("</tbody>\n</table></div>\n");
        if (table.Note is not null) Line(html, $"<p class=\"note\">{Cell(table.Note)}</p>");
    }

    /// <summary>A word that may be broken anywhere, so that it does not widen its table.</summary>
    private static bool HasLongWord(string cell) => cell.Length > LongWord && cell.Split(' ').Any(word => word.Length > LongWord);

    private const int LongWord = 26;

    private static string Figure(Figure figure, float share) =>
        $"<figure class=\"{(share < 0.8f ? "part" : share < 0.95f ? "most" : "whole")}\">{Picture(figure.Picture)}<figcaption>{Cell(figure.Caption)}</figcaption></figure>";

    private static string Picture(ReportPicture picture)
    {
        byte[] png = picture switch { PixelPicture pixels => pixels.Png, LinePicture lines => lines.Png(), _ => throw new ArgumentException($"no way to write {picture.GetType().Name}", nameof(picture)) };
        return string.Create(CultureInfo.InvariantCulture, $"<img alt=\"{Cell(picture.Alt)}\" width=\"{(int)picture.Width}\" height=\"{(int)picture.Height}\" src=\"data:image/png;base64,{Convert.ToBase64String(png)}\">");
    }

    private static void WriteFinding(StringBuilder html, FindingEntry entry)
    {
        Line(html, $"<article class=\"finding\"><div><h3>{Cell(entry.Heading)}</h3><p>{Apart(entry.Text)}</p>{Facts(entry.Facts)}</div>{Picture(entry.Picture)}</article>");
    }
}
