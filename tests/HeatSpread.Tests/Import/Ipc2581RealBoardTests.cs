using System.Text.Json;
using HeatSpread.Boards;
using HeatSpread.Import;
using Xunit;

namespace HeatSpread.Tests.Import;

/// <summary>Real boards as IPC-2581, revisions B and C, against <c>expected.json</c> (figures from polygon union and from pixels), and against the same board as Gerber.</summary>
public sealed class Ipc2581RealBoardTests
{
    public static TheoryData<string> Boards => ["moteus-c1", "dm0002"];

    private static ImportResult Import(string board)
    {
        var clock = System.Diagnostics.Stopwatch.StartNew();
        var result = FabricationImport.Import(SharedBoards.Describe(), SharedBoards.Ipc2581Files(board), TestContext.Current.CancellationToken);
        TestContext.Current.TestOutputHelper?.WriteLine($"{board}: imported in {clock.ElapsedMilliseconds} ms\n" + string.Join("\n", result.Warnings) + string.Join("\n", result.Faults));
        Assert.Empty(result.Faults);
        return result;
    }

    [Theory]
    [MemberData(nameof(Boards))]
    public void Areas_holes_nets_stack_and_components_are_as_expected(string board)
    {
        var result = Import(board);
        var layout = result.Layout!;
        var expected = SharedBoards.Expected(board).GetProperty("ipc2581");
        foreach (var layer in expected.GetProperty("copper_mm2").EnumerateObject())
        {
            double area = PaintedArea.Of(layout.Copper, layer.Name, 0.0113), known = layer.Value.GetDouble();
            TestContext.Current.TestOutputHelper?.WriteLine($"{layer.Name}: {area:0.000} mm2, expected {known:0.000} ({100 * (area / known - 1):0.000} %)");
            Assert.InRange(area, known * 0.999, known * 1.001);
        }
        double profile = expected.GetProperty("profile_mm2").GetDouble();
        Assert.InRange(layout.Outline.Polygons.Sum(p => p.Area), profile * 0.9995, profile * 1.0005);
        Assert.Equal(expected.GetProperty("components").GetInt32(), result.Components.Count);
        Assert.Equal(expected.GetProperty("nets").GetInt32(), layout.Nets.Count);
        AssertStack(expected.GetProperty("stack_mm"), layout);
        AssertHoles(expected.GetProperty("holes_mm"), result);
        Assert.Empty(BoardBuilder.Build(layout).Faults);
        Assert.All(layout.Parts, p => Assert.True(p.Terminals.Count > 0 || p.Body is not null));
        Assert.True(layout.Parts.Count(p => p.Terminals.Count > 0) >= 0.95 * layout.Parts.Count);
    }

    private static void AssertStack(JsonElement expected, LayoutDocument layout)
    {
        Assert.Equal(expected.GetArrayLength(), layout.Stack.Count);
        foreach (var (row, known) in layout.Stack.Zip(expected.EnumerateArray()))
        {
            Assert.Equal(known[0].GetString(), row.Name);
            Assert.Equal(known[1].GetDouble() * 1000, row.ThicknessUm, 0.02); // inch files round to a millionth
        }
    }

    private static void AssertHoles(JsonElement expected, ImportResult result)
    {
        foreach (var size in expected.EnumerateObject())
        {
            double diameter = double.Parse(size.Name, System.Globalization.CultureInfo.InvariantCulture);
            int Count(bool plated) => result.Holes.Where(h => h.Plated == plated && Math.Abs(h.DrillMm - diameter) < 1e-3).Sum(h => h.Count);
            int Known(string kind) => size.Value.TryGetProperty(kind, out var count) ? count.GetInt32() : 0;
            Assert.Equal(Known("VIA") + Known("PLATED"), Count(true));
            Assert.Equal(Known("NONPLATED"), Count(false));
        }
    }

    [Fact]
    public void The_same_board_in_two_formats_has_the_same_areas_and_parts()
    {
        var ipc = Import("moteus-c1").Layout!;
        var gerber = FabricationImport.Import(SharedBoards.Describe(), SharedBoards.GerberFiles("moteus-c1"), TestContext.Current.CancellationToken).Layout!;
        string[] gerberLayers = [.. gerber.Stack.Where(r => r.Kind == "copper").Select(r => r.Name!)], ipcLayers = [.. ipc.Stack.Where(r => r.Kind == "copper").Select(r => r.Name!)];
        for (int i = 0; i < ipcLayers.Length; i++)
        {
            double one = PaintedArea.Of(gerber.Copper, gerberLayers[i], 0.0113), other = PaintedArea.Of(ipc.Copper, ipcLayers[i], 0.0113);
            Assert.InRange(other / one, 0.998, 1.002);
            Assert.Equal(0, Distance(Box(gerber, gerberLayers[i]), Box(ipc, ipcLayers[i])), 0.01);
        }
        foreach (var net in new[] { "GND", "V+" })
        {
            double one = NetArea(gerber, gerberLayers[0], net), other = NetArea(ipc, ipcLayers[0], net);
            Assert.InRange(other / one, 0.99, 1.01);
        }
    }

    [Fact]
    public void Bodies_lie_over_their_pads_on_both_sides()
    {
        var layout = Import("moteus-c1").Layout!;
        Assert.Contains(layout.Parts, p => p.Side == "bottom");
        int over = layout.Parts.Count(p => p.Terminals.Count(t => t.Pad.Bounds.Overlaps(p.Body!.Bounds)) == p.Terminals.Count);
        Assert.True(over > 0.95 * layout.Parts.Count, $"{over} of {layout.Parts.Count} bodies overlap all their pads");
    }

    private static double NetArea(LayoutDocument layout, string layer, string net) => PaintedArea.Of(layout.Copper.Where(c => c.Clear || c.Net == net), layer, 0.0113);

    private static Box Box(LayoutDocument layout, string layer) =>
        layout.Copper.Where(c => c.Layer == layer && c.Area is not null).Aggregate(HeatSpread.Boards.Box.Empty, (box, c) => box.Include(c.Area!.Bounds));

    private static double Distance(Box a, Box b) => Math.Abs(a.MinX - b.MinX) + Math.Abs(a.MinY - b.MinY) + Math.Abs(a.MaxX - b.MaxX) + Math.Abs(a.MaxY - b.MaxY);
}
