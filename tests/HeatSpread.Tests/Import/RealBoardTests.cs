using System.Text;
using HeatSpread.Boards;
using HeatSpread.Import;
using HeatSpread.Import.Gerber;
using Xunit;

namespace HeatSpread.Tests.Import;

/// <summary>
/// Real boards against <c>expected.json</c>, whose figures come from polygon union and from two independent Gerber renderers.
/// </summary>
public sealed class RealBoardTests
{
    public static TheoryData<string> Boards => ["mppt-2420-lc", "ulx3s", "alhambra-ii", "moteus-c1"];

    [Theory]
    [MemberData(nameof(Boards))]
    public void Areas_holes_and_outline_are_as_expected(string board)
    {
        var clock = System.Diagnostics.Stopwatch.StartNew();
        var result = FabricationImport.Import(SharedBoards.Describe(), SharedBoards.GerberFiles(board), TestContext.Current.CancellationToken);
        TestContext.Current.TestOutputHelper?.WriteLine($"{board}: imported in {clock.ElapsedMilliseconds} ms\n" + string.Join("\n", result.Warnings));
        Assert.Empty(result.Faults);
        var expected = SharedBoards.Expected(board);
        var layout = result.Layout!;

        double outline = layout.Outline.Polygons.Sum(p => p.Area);
        double expectedOutline = expected.GetProperty("outline").GetProperty("area_mm2").GetDouble();
        Assert.InRange(outline, expectedOutline * 0.999, expectedOutline * 1.001);

        string[] layers = [.. layout.Stack.Where(r => r.Kind == "copper").Select(r => r.Name!)];
        var copper = expected.GetProperty("copper").EnumerateArray().ToList();
        Assert.Equal(copper.Count, layers.Length);
        for (int i = 0; i < layers.Length; i++)
        {
            double area = PaintedArea.Of(layout.Copper, layers[i], 0.0113), known = copper[i].GetProperty("copper_mm2").GetDouble();
            TestContext.Current.TestOutputHelper?.WriteLine($"{layers[i]}: {area:0.000} mm2, expected {known:0.000} ({100 * (area / known - 1):0.000} %), {layout.Copper.Count(c => c.Layer == layers[i])} items");
            Assert.InRange(area, known * 0.999, known * 1.001);
        }
        AssertHoles(expected, result);
        AssertRoundTrip(layout);
    }

    private static void AssertRoundTrip(LayoutDocument layout)
    {
        byte[] json = LayoutWriter.Write(layout);
        TestContext.Current.TestOutputHelper?.WriteLine($"{json.Length / 1e6:0.0} MB as JSON, {layout.Nets.Count} nets, {layout.Vias.Count} via groups");
        var read = LayoutReader.Read(json);
        Assert.Empty(read.Faults);
        var board = BoardBuilder.Build(read.Value!);
        Assert.Empty(board.Faults);
        Assert.Equal(layout.Copper.Count, board.Value!.Copper.Count);
    }

    [Theory]
    [InlineData("mppt-2420-lc")]
    [InlineData("moteus-c1")]
    public void Nets_pins_and_components_are_counted_as_expected(string board)
    {
        var files = SharedBoards.GerberFiles(board);
        foreach (var layer in SharedBoards.Expected(board).GetProperty("copper").EnumerateArray())
        {
            var file = files.Single(f => f.Name == layer.GetProperty("file").GetString());
            var objects = GerberReader.Read(Encoding.UTF8.GetString(file.Content.Span), new FileNotes(file.Name), new ImportLimits(), TestContext.Current.CancellationToken).Objects;
            var pins = objects.SelectMany(o => o.Attributes.Pins).ToList();
            Assert.Equal(layer.GetProperty("nets").GetInt32(), objects.Select(o => o.Attributes.Net).Where(n => !string.IsNullOrEmpty(n)).Distinct().Count());
            Assert.Equal(layer.GetProperty("components").GetInt32(), pins.Select(p => p.Part).Concat(objects.Select(o => o.Attributes.Part).OfType<string>()).Distinct().Count());
            if (layer.TryGetProperty("pins", out var count)) Assert.Equal(count.GetInt32(), pins.Select(p => (p.Part, p.Pin)).Distinct().Count());
        }
    }

    [Fact]
    public void Parts_of_a_real_board_need_only_their_watts()
    {
        var files = SharedBoards.GerberFiles("moteus-c1");
        var parts = Pins(files.Single(f => f.Name.EndsWith("F_Cu.gtl", StringComparison.Ordinal))).Select(id => new PartDocument { Id = id, Watts = 0.1 }).ToArray();
        var result = FabricationImport.Import(SharedBoards.Describe(parts), files, TestContext.Current.CancellationToken);
        Assert.Empty(result.Faults);
        Assert.Equal(parts.Length, result.Layout!.Parts.Count);
        Assert.All(result.Layout.Parts, p => Assert.NotEmpty(p.Terminals));
        Assert.Empty(BoardBuilder.Build(result.Layout).Faults);
        Assert.DoesNotContain(result.Layout.Vias, v => v.PlatingUm > 0 && v.Net is null);
    }

    private static IReadOnlyList<string> Pins(FabricationFile file) =>
        [.. GerberReader.Read(Encoding.UTF8.GetString(file.Content.Span), new FileNotes(file.Name), new ImportLimits(), CancellationToken.None).Objects.SelectMany(o => o.Attributes.Pins).Select(p => p.Part).Distinct()];

    private static void AssertHoles(System.Text.Json.JsonElement expected, ImportResult result)
    {
        var known = new SortedDictionary<double, int>();
        foreach (var file in expected.GetProperty("drill").EnumerateArray())
        {
            foreach (var hole in file.GetProperty("holes_mm").EnumerateObject())
            {
                double diameter = double.Parse(hole.Name, System.Globalization.CultureInfo.InvariantCulture);
                known[diameter] = known.GetValueOrDefault(diameter) + hole.Value.GetInt32();
            }
        }
        var found = new SortedDictionary<double, int>();
        foreach (var hole in result.Holes)
        {
            double diameter = Math.Round(hole.DrillMm, 4);
            found[diameter] = found.GetValueOrDefault(diameter) + hole.Count;
        }
        Assert.Equal(known, found);
        Assert.Equal(result.Holes.Where(h => !h.Plated).Sum(h => h.Count), result.Layout!.Vias.Where(v => v.PlatingUm == 0).Sum(v => v.At!.Count));
    }
}
