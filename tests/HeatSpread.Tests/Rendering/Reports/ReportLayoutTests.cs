using CsCheck;
using HeatSpread.Boards;
using HeatSpread.Rendering.Reports;
using Xunit;

namespace HeatSpread.Tests.Rendering.Reports;

public sealed class ReportLayoutTests
{
    [Fact]
    public void Text_is_broken_within_its_width_and_nothing_is_lost() => Gen.Char["ab Wi-é°Δ"].Array[0, 400].Select(signs => new string(signs)).Sample(
        text =>
        {
            const float width = 90;
            var lines = TextLines.Break(text, TextStyle.Body, width);
            using var font = TextStyle.Body.Font();
            Assert.All(lines.Lines, line => Assert.True(font.MeasureText(line) <= width));
            Assert.Equal(text.Replace(" ", "", StringComparison.Ordinal), string.Concat(lines.Lines).Replace(" ", "", StringComparison.Ordinal));
        },
        iter: 60);

    [Theory]
    [InlineData(PaperSize.A4)]
    [InlineData(PaperSize.Letter)]
    public void Nothing_passes_the_foot_of_a_page_and_no_heading_stands_last_on_it(PaperSize paper) =>
        Gen.Select(Gen.Float[1, 300], Gen.Bool).Array[1, 60].Sample(
            items =>
            {
                var flow = new PageFlow(PageFormat.Of(paper));
                var places = new List<(int Item, float Top)>();
                foreach (var (index, (height, hasHeading)) in items.Index())
                {
                    if (hasHeading) flow.Await(20, (_, top) => places.Add((-1, top)));
                    flow.Place(height, (_, top) => places.Add((index, top)));
                    flow.Gap(7);
                }
                foreach (var page in flow.Pages)
                {
                    places.Clear();
                    foreach (var draw in page) draw(null!);
                    Assert.NotEmpty(places);
                    Assert.True(places[^1].Item >= 0, "a heading stands last");
                    Assert.Equal(flow.Format.Text.Top, places[0].Top);
                    Assert.All(places.Where(place => place.Item >= 0), place => Assert.True(place.Top + items[place.Item].Item1 <= flow.Format.Text.Bottom + 0.1f));
                }
            },
            iter: 100);

    [Fact]
    public void The_window_of_a_place_holds_it_and_lies_on_the_board_where_it_fits() => Gen.Select(Gen.Double[0, 60], Gen.Double[0, 45], Gen.Double[0, 30], Gen.Double[0, 20]).Sample(
        place =>
        {
            var (x, y, width, height) = place;
            var board = new Box(0, 0, 60, 45);
            var at = new Box(Math.Min(x, 60 - width), Math.Min(y, 45 - height), Math.Min(x, 60 - width) + width, Math.Min(y, 45 - height) + height);
            var window = PlacePicture.Window(board, at);
            Assert.Equal(4.0 / 3, window.Width / window.Height, 1e-9);
            Assert.True(window.MinX <= at.MinX + 1e-9 && window.MinY <= at.MinY + 1e-9 && window.MaxX >= at.MaxX - 1e-9 && window.MaxY >= at.MaxY - 1e-9);
            if (window.Width <= 60) Assert.True(window.MinX >= -1e-9 && window.MaxX <= 60 + 1e-9);
            if (window.Height <= 45) Assert.True(window.MinY >= -1e-9 && window.MaxY <= 45 + 1e-9);
        },
        iter: 200);

    [Theory]
    [InlineData("U1\u202Egnp", "U1[U+202E]gnp")]
    [InlineData("\u05D0", "[U+05D0]")]
    [InlineData("a\tb\nc", "a b c")]
    [InlineData("\uD83D\uDE00", "[U+1F600]")]
    [InlineData("10 µm, 5 Ω", "10 µm, 5 Ω")]
    public void Signs_that_cannot_be_seen_or_set_are_told_as_numbers(string text, string known) => Assert.Equal(known, ReportFont.Known(text));

    [Fact]
    public void Numbers_keep_what_a_reader_needs()
    {
        Assert.Equal("< 0.01", ReportText.Error(0.0004));
        Assert.Equal(("0.32", "3.6"), (ReportText.Error(0.321), ReportText.Error(3.61)));
        Assert.Equal(("+18.6", "−0.05", "0.00"), (ReportText.Signed(18.64), ReportText.Signed(-0.05), ReportText.Signed(0)));
        Assert.Equal(("0", "1.400", "0.0108"), (ReportText.Watts(0), ReportText.Watts(1.4), ReportText.Watts(0.0108)));
        Assert.Equal(("0.800", "391", "9e−10"), (ReportText.Significant(0.8), ReportText.Significant(390.6), ReportText.Significant(9e-10, 2)));
    }

    /// <summary>Names of any length, and many parts, in every table: each row and its head fit on the page, whatever the widths are.</summary>
    [Fact]
    public void A_table_of_many_rows_repeats_its_head_on_every_page()
    {
        var flow = new PageFlow(PageFormat.Of(PaperSize.Letter));
        TableRow[] rows = [.. Enumerable.Range(0, 200).Select(i => new TableRow([i % 40 == 0 ? new string('W', 300) : $"R{i}", "words and more words", "12.3"]))];
        TableSetter.Set(flow, new("Parts", [new("Part"), new("Kind"), new("°C", true)], rows));
        Assert.InRange(flow.Pages.Count, 5, 12);
        int placed = flow.Pages.Sum(page => page.Count);
        Assert.Equal(rows.Length + 2 * flow.Pages.Count, placed); // a caption and a head on each page
    }
}
