using System.Globalization;
using System.Net;
using System.Text;
using System.Text.Json;
using System.Text.RegularExpressions;

namespace HeatSpread.Service.Tests.Reports;

public sealed partial class ReportTests(SharedService shared, ReportFiles files) : IClassFixture<ReportFiles>
{
    private readonly HttpClient _client = shared.Client;

    [Fact]
    public void A_report_is_the_same_file_twice_and_after_a_restart()
    {
        Assert.All(files.Written, again => Assert.Equal(files.Page, again.Page));
        Assert.All(files.Written, again => Assert.Equal(files.Pdf, again.Pdf));
        Assert.NotEqual(files.Pdf, files.Letter);
    }

    /// <summary>What a browser would load or run is looked for in the text itself: nothing but pictures inside it, and places inside it.</summary>
    [Fact]
    public async Task The_page_asks_for_nothing_and_can_be_read_by_ear()
    {
        using var response = await files.Client.Get(files.PageAddress);
        Assert.Equal("text/html", response.Content.Headers.ContentType!.MediaType);
        string policy = Assert.Single(response.Headers.GetValues("Content-Security-Policy"));
        Assert.StartsWith("default-src 'none'; img-src data:; style-src 'sha256-", policy, StringComparison.Ordinal);
        string html = await response.Content.ReadAsStringAsync(TestContext.Current.CancellationToken);
        Assert.All(Links().Matches(html), link => Assert.True(link.Groups[1].Value.StartsWith("data:image/png;base64,", StringComparison.Ordinal) || link.Groups[1].Value.StartsWith('#')));
        foreach (string never in (string[])["<script", "url(", "@import", "<link", "<iframe", "<object", "onload", "http://", "https://"]) Assert.DoesNotContain(never, html, StringComparison.OrdinalIgnoreCase);
        string style = Styles().Match(html).Groups[1].Value;
        Assert.Contains($"'sha256-{Convert.ToBase64String(System.Security.Cryptography.SHA256.HashData(Encoding.UTF8.GetBytes(style)))}'", policy, StringComparison.Ordinal);

        Assert.StartsWith("<!doctype html>\n<html lang=\"en\">", html, StringComparison.Ordinal);
        foreach (string landmark in (string[])["<header>", "<nav aria-label=", "<main>", "<footer>"]) Assert.Single(Regex.Matches(html, Regex.Escape(landmark)));
        Assert.All(Pictures().Matches(html), picture => Assert.Matches(" alt=\"[^\"]{10,}\"", picture.Value));
        int level = 0;
        foreach (Match heading in Headings().Matches(html))
        {
            int next = int.Parse(heading.Groups[1].Value, CultureInfo.InvariantCulture);
            Assert.InRange(next, 1, level + 1); // none is left out on the way down
            level = next;
        }
        Assert.Single(Regex.Matches(html, "<h1>"));
        foreach (Match section in Regex.Matches(html, "aria-labelledby=\"(s\\d+)\"")) Assert.Contains($"id=\"{section.Groups[1].Value}\"", html, StringComparison.Ordinal);
        foreach (string opened in (string[])["section", "table", "tr", "th", "td", "figure", "article", "div", "p", "ul", "li", "dl", "dd", "dt", "bdi"])
            Assert.Equal(Regex.Count(html, $"<{opened}[ >]"), Regex.Count(html, $"</{opened}>"));
    }

    /// <summary>Every piece of text of the page stands in the PDF, and the numbers of the answer stand in both.</summary>
    [Fact]
    public async Task Page_PDF_and_answer_tell_the_same()
    {
        PdfTools.SkipWithout("pdftotext");
        string pdf = Bare(PdfTools.Words(files.Pdf));
        var pieces = Pieces(Encoding.UTF8.GetString(files.Page)).ToList();
        Assert.True(pieces.Count > 300, $"only {pieces.Count} pieces of text");
        Assert.All(pieces, piece => Assert.Contains(piece, pdf, StringComparison.Ordinal));

        var solution = await files.Client.Get(files.PageAddress.Split("/report")[0]).Success();
        var told = pieces.ToHashSet();
        Assert.All(Numbers(solution), number => Assert.Contains(number, told));
        var comparison = await files.Client.Get($"/v1/comparisons/{files.PageAddress.Split("comparison=")[1]}").Success();
        foreach (var ledger in comparison.GetProperty("candidates")[0].GetProperty("ledger").EnumerateArray())
        {
            double sum = ledger.GetProperty("entries").EnumerateArray().Sum(entry => entry.GetProperty("kelvin").GetDouble());
            Assert.Contains(Number(sum, "+0.00;−0.00;0.00"), told);
            Assert.Contains(Number(ledger.GetProperty("deltaKelvin").GetDouble(), "+0.00;−0.00;0.00"), told);
        }
        foreach (string digest in (string[])[solution.GetProperty("id").GetString()!, solution.GetProperty("layout").GetString()!, comparison.GetProperty("id").GetString()!, comparison.GetProperty("baseline").GetString()!])
            Assert.Contains(digest, told);
    }

    [Theory]
    [InlineData(false, 595.28, 841.89)]
    [InlineData(true, 612, 792)]
    public void Every_page_of_the_PDF_is_filled_within_its_margins_and_brings_its_fonts(bool isLetter, double width, double height)
    {
        PdfTools.SkipWithout("pdftoppm");
        byte[] pdf = isLetter ? files.Letter : files.Pdf;
        var pages = PdfTools.Pages(pdf, 36).ToList(); // two points a pixel
        Assert.InRange(pages.Count, 5, 20);
        foreach (var page in pages)
        {
            Assert.Equal((width / 2, height / 2), (page.Width, page.Height), (a, b) => Math.Abs(a.Item1 - b.Item1) <= 1 && Math.Abs(a.Item2 - b.Item2) <= 1);
            var (left, top, right, bottom) = page.Ink();
            Assert.InRange(left, 24, width / 4);
            Assert.InRange(right, width / 4, width / 2 - 24);
            Assert.InRange(top, 16, height / 8);
            Assert.InRange(bottom, height / 4, height / 2 - 13);
            int text = page.Grey.Skip(page.Width * 35).Take(page.Width * (page.Height - 70)).Count(grey => grey < 250);
            Assert.True(text > 300, "a page holds its margins alone");
        }
        Assert.All(PdfTools.Fonts(pdf), font => Assert.True(font.IsInside, $"{font.Name} is not in the file"));
    }

    [Fact]
    public async Task Edits_that_were_asked_for_stand_in_the_report_with_their_gains()
    {
        var solution = await _client.PostJson("/v1/solutions", Boards.Request(EditTests.CutPour).TrimEnd()[..^1] + """, "suggest": { "edits": 2 } }""").Success();
        var edits = solution.GetProperty("edits").EnumerateArray().ToList();
        Assert.NotEmpty(edits);
        string html = WebUtility.HtmlDecode(await Page(solution));
        Assert.Matches("<h2[^>]*>[0-9]+\u2002Suggested edits</h2>", html);
        Assert.All(edits, edit => Assert.Contains(edit.GetProperty("text").GetString()!, html, StringComparison.Ordinal));
        Assert.All(edits, edit => Assert.Contains($"{Number(edit.GetProperty("gainKelvin").GetDouble(), "0.0")} K at {edit.GetProperty("part").GetString()}, checked", html, StringComparison.Ordinal));
        Assert.Equal(edits.Count, Regex.Count(html, "alt=\"Place of edit"));
    }

    [Fact]
    public async Task What_an_import_guessed_stands_in_the_report_even_when_the_layout_is_gone()
    {
        var lamp = Directory.GetFiles(Path.Combine(Repository.Root, "fixtures", "fabrication", "lamp"), "lamp*").Order(StringComparer.Ordinal).Select(file => (Path.GetFileName(file), File.ReadAllBytes(file)));
        using var form = ImportTests.Form("""{ "name": "lamp reported", "parts": [{ "id": "U1", "watts": 1.1 }] }""", [.. lamp]);
        using var taken = await _client.PostAsync("/v1/layouts", form, TestContext.Current.CancellationToken);
        var receipt = await taken.Body();
        string layout = receipt.GetProperty("id").GetString()!;
        string[] warnings = [.. receipt.GetProperty("warnings").EnumerateArray().Select(warning => warning.GetString()!)];
        Assert.NotEmpty(warnings);
        var solution = await _client.PostJson("/v1/solutions", Boards.Request($"\"{layout}\"", grid: """{ "pitchMm": 1 }""")).Success();
        using var removed = await _client.DeleteAsync($"/v1/layouts/{layout}", TestContext.Current.CancellationToken);
        Assert.Equal(HttpStatusCode.NoContent, removed.StatusCode);
        string html = WebUtility.HtmlDecode(await Page(solution));
        Assert.All(warnings, warning => Assert.Contains(warning, html, StringComparison.Ordinal));
    }

    private async Task<string> Page(JsonElement solution)
    {
        using var response = await _client.Get(solution.GetProperty("reports").GetProperty("html").GetString()!);
        return await response.Content.ReadAsStringAsync(TestContext.Current.CancellationToken);
    }

    [Fact]
    public async Task Names_that_others_chose_do_no_harm()
    {
        string name = "<script>alert(1)</script> & \\\"quotes\\\"", part = new('W', 190), turned = "U\u202E1 \u05D0\u05D1";
        string layout = Boards.Plate(name).Replace("\"id\": \"U1\"", $"\"id\": \"{part}\"", StringComparison.Ordinal).Replace("\"id\": \"L5\"", $"\"id\": \"{turned}\"", StringComparison.Ordinal);
        var solution = await _client.Solve(layout);
        string html = await (await _client.Get(solution.GetProperty("reports").GetProperty("html").GetString()!)).Content.ReadAsStringAsync(TestContext.Current.CancellationToken);
        Assert.DoesNotContain("<script", html, StringComparison.Ordinal);
        Assert.Contains("&lt;script&gt;alert(1)&lt;/script&gt; &amp; &quot;quotes&quot;", html, StringComparison.Ordinal);
        Assert.DoesNotContain('\u202E', html);
        Assert.Contains("<bdi>U[U+202E]1", html, StringComparison.Ordinal);
        Assert.Contains(part, html, StringComparison.Ordinal);
        byte[] pdf = await (await _client.Get(solution.GetProperty("reports").GetProperty("pdf").GetString()!)).Bytes();
        PdfTools.SkipWithout("pdftotext");
        string words = Bare(PdfTools.Words(pdf));
        Assert.Contains(part, words, StringComparison.Ordinal);
        Assert.Contains("U[U+202E]1[U+05D0][U+05D1]", words, StringComparison.Ordinal); // the font has no Hebrew: its signs are told, not dropped
        Assert.Contains("<script>alert(1)</script>", words, StringComparison.Ordinal);
    }

    [Fact]
    public async Task What_a_client_has_is_not_sent_again()
    {
        using var first = await files.Client.Get(files.PdfAddress);
        Assert.Equal("application/pdf", first.Content.Headers.ContentType!.MediaType);
        Assert.Equal(HttpStatusCode.NotModified, await Known(files.PdfAddress, first));
        Assert.Equal(HttpStatusCode.NotModified, await Known(files.PdfAddress + "&paper=a4", first));
        Assert.Equal(HttpStatusCode.NotFound, (await _client.Get("/v1/solutions/nothing/report.html")).StatusCode);
    }

    private async Task<HttpStatusCode> Known(string address, HttpResponseMessage known)
    {
        using var again = new HttpRequestMessage(HttpMethod.Get, address) { Headers = { IfNoneMatch = { known.Headers.ETag! } } };
        using var response = await files.Client.SendAsync(again, TestContext.Current.CancellationToken);
        return response.StatusCode;
    }

    [Fact]
    public async Task Faults_of_the_query_are_listed_at_once()
    {
        var solution = await _client.Solve(Boards.Plate("report query"));
        using var response = await _client.Get(solution.GetProperty("reports").GetProperty("html").GetString() + "?paper=a5&comparison=none&size=3");
        Assert.Equal(HttpStatusCode.BadRequest, response.StatusCode);
        Assert.StartsWith("default-src 'self'", Assert.Single(response.Headers.GetValues("Content-Security-Policy")), StringComparison.Ordinal);
        Approved.Json("problems/query-report.json", await response.Body());
    }

    /// <summary>Text between the tags of the page, without white space; the list of sections is of the page alone.</summary>
    private static IEnumerable<string> Pieces(string html)
    {
        string body = Contents().Replace(html[html.IndexOf("<body>", StringComparison.Ordinal)..html.IndexOf("<footer>", StringComparison.Ordinal)], "");
        return Tags().Split(body).Select(WebUtility.HtmlDecode).Select(piece => Bare(piece!)).Where(piece => piece.Length > 0);
    }

    private static string Bare(string text) => Spaces().Replace(text, "");

    private static IEnumerable<string> Numbers(JsonElement solution)
    {
        foreach (var part in solution.GetProperty("parts").EnumerateArray())
        {
            yield return Number(part.GetProperty("maxCelsius").GetDouble(), "0.0");
            if (part.GetProperty("marginKelvin").ValueKind == JsonValueKind.Number) yield return Number(part.GetProperty("marginKelvin").GetDouble(), "0.0");
            foreach (var node in part.GetProperty("nodes").EnumerateObject()) yield return Number(node.Value.GetDouble(), "0.0");
            foreach (var path in part.GetProperty("paths").EnumerateArray().Where(path => Math.Abs(path.GetProperty("watts").GetDouble()) >= 0.1)) yield return Number(path.GetProperty("watts").GetDouble(), "0.000;−0.000");
        }
        foreach (var layer in solution.GetProperty("layers").EnumerateArray())
            foreach (string key in (string[])["maxCelsius", "minCelsius", "meanCelsius"]) yield return Number(layer.GetProperty(key).GetDouble(), "0.0");
        foreach (string key in (string[])["dissipatedWatts", "topWatts", "bottomWatts"]) yield return Number(solution.GetProperty("heat").GetProperty(key).GetDouble(), "0.000");
        yield return Number(solution.GetProperty("probes")[0].GetProperty("celsius").GetDouble(), "0.0");
        yield return solution.GetProperty("accuracy").GetProperty("unknowns").GetInt32().ToString(CultureInfo.InvariantCulture);
    }

    private static string Number(double value, string format) => value.ToString(format, CultureInfo.InvariantCulture);

    [GeneratedRegex("(?:src|href)=\"([^\"]*)\"")]
    private static partial Regex Links();

    [GeneratedRegex("<style>(.*?)</style>", RegexOptions.Singleline)]
    private static partial Regex Styles();

    [GeneratedRegex("<img[^>]*>")]
    private static partial Regex Pictures();

    [GeneratedRegex("<h([1-6])[ >]")]
    private static partial Regex Headings();

    [GeneratedRegex("<nav.*?</nav>", RegexOptions.Singleline)]
    private static partial Regex Contents();

    [GeneratedRegex("<[^>]*>")]
    private static partial Regex Tags();

    [GeneratedRegex(@"\s+")]
    private static partial Regex Spaces();
}
