using HeatSpread.Boards;
using HeatSpread.Import;
using Xunit;

namespace HeatSpread.Tests.Import;

/// <summary>The README's walk from fabrication files to a layout: <c>fixtures/fabrication/lamp</c>, without any attributes.</summary>
public sealed class LampBoardTests
{
    private static List<FabricationFile> Files()
    {
        var folder = new DirectoryInfo(AppContext.BaseDirectory);
        while (folder is not null && !File.Exists(Path.Combine(folder.FullName, "HeatSpread.sln"))) folder = folder.Parent;
        return [.. Directory.GetFiles(Path.Combine(folder!.FullName, "fixtures", "fabrication", "lamp")).Order(StringComparer.Ordinal).Select(path => new FabricationFile(Path.GetFileName(path), File.ReadAllBytes(path)))];
    }

    [Fact]
    public void Layers_nets_stack_and_parts_are_found_without_attributes()
    {
        var description = new FabricationDescription { Name = "lamp driver", Parts = [new() { Id = "U1", Watts = 1.1 }, new() { Id = "L1", Watts = 0.4 }] };
        var result = FabricationImport.Import(description, Files(), TestContext.Current.CancellationToken);
        Assert.Empty(result.Faults);
        var layout = result.Layout!;
        Assert.Empty(BoardBuilder.Build(layout).Faults);
        Assert.Equal(["lamp.gtl", "lamp.gbl"], result.LayerFiles);
        Assert.Equal([20.0, 70, 1420, 70, 20], layout.Stack.Select(r => r.ThicknessUm));
        Assert.Equal(["GND", "SW", "VIN", "VOUT"], layout.Nets.Select(n => n.Name).Where(n => !n.StartsWith("NET", StringComparison.Ordinal)).Order(StringComparer.Ordinal));
        Assert.Equal(38 * 28, PaintedArea.Of(layout.Copper, "L2"), 0.5);
        Assert.Equal([new HoleCount(0.3, 45, true)], result.Holes);
        Assert.Equal(8 * 1.2 * 0.6 + 2.4 * 3.2, layout.Parts[0].Terminals.Sum(t => t.Pad.Polygons.Sum(p => p.Area)), 6);
        Assert.Equal(["SW", "VOUT"], layout.Parts[1].Terminals.Select(t => t.Name));
    }
}
