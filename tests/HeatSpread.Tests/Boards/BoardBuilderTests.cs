using HeatSpread.Boards;
using Xunit;

namespace HeatSpread.Tests.Boards;

public sealed class BoardBuilderTests
{
    private static readonly Board Sound = LayoutReading.ReadBoard(Sample.Utf8(Sample.Layout)).Board!;

    [Fact]
    public void The_stack_is_in_SI_units_with_defaults_resolved()
    {
        Assert.Equal(6, Sound.Rows.Count);
        var (mask, copper) = (Sound.Rows[0], Sound.Rows[1]);
        Assert.Equal((StackRowKind.Mask, null, 20 * 1e-6, new Conductivity(0.25, 0.25), 0.0, 1.5e6), (mask.Kind, mask.Name, mask.Thickness, mask.Fill, mask.CopperConductivity, mask.FillHeatCapacity));
        Assert.Equal((StackRowKind.Copper, "L1", 50 * 1e-6, new Conductivity(0.9, 0.35), 390.0, 3.44e6), (copper.Kind, copper.Name, copper.Thickness, copper.Fill, copper.CopperConductivity, copper.CopperHeatCapacity));
        Assert.Equal((380, new Conductivity(0.8, 0.3)), (Sound.Rows[3].CopperConductivity, Sound.Rows[3].Fill));
        Assert.Equal(new Conductivity(0.7, 0.25), Sound.Rows[4].Fill);
        Assert.Equal(new Conductivity(0.7, 0.25), Sound.Rows[5].Fill);
        Assert.Equal([new CopperLayer("L1", 1), new("L2", 3), new("L3", 5)], Sound.Layers);
    }

    [Fact]
    public void Nets_copper_vias_parts_and_probes_refer_by_index()
    {
        Assert.Equal([0], Sound.Nets[1].KeepApartFrom);
        Assert.True(Sound.Nets[2].FixedArea);
        Assert.Equal((0, 2, 0.0002, 0.0002), (Sound.Copper[1].Layer, Sound.Copper[1].Net, Sound.Copper[1].Track!.Width, Sound.Copper[1].Clearance));
        Assert.Equal((true, -1), (Sound.Copper[2].IsClear, Sound.Copper[2].Net));
        Assert.Equal((0, 2, 0.0003, 25 * 1e-6, 390, 0.3, 0.0006), (Sound.Vias[0].FromLayer, Sound.Vias[0].ToLayer, Sound.Vias[0].Drill, Sound.Vias[0].Plating, Sound.Vias[0].PlatingConductivity, Sound.Vias[0].FillConductivity, Sound.Vias[0].Pad));
        Assert.Equal((0, 2, 0), (Sound.Vias[1].FromLayer, Sound.Vias[1].ToLayer, Sound.Vias[1].FillConductivity));
        Assert.Equal(12, Sound.Vias[1].At.Count);
        Assert.Equal(new Point(0.013, 0.012), Sound.Vias[1].At[^1]);
        Assert.Equal(BoardSide.Bottom, Sound.Parts[1].Side);
        Assert.Equal([new PartLink(0, PartLinkTarget.Terminal, 0, 4), new(0, PartLinkTarget.Node, 1, 22), new(1, PartLinkTarget.Ambient, -1, 400)], Sound.Parts[0].Network!.Links);
        Assert.Equal([0.9, 0.1], Sound.Parts[0].Network!.HeatShares);
        Assert.Equal(new Probe("TP1", 0, new Point(0.012, 0.0085)), Sound.Probes[0]);
    }

    [Fact]
    public void Inches_are_of_25_4_mm()
    {
        var board = LayoutReading.ReadBoard(Sample.Edited(Sample.Layout, ("/unit", "\"inch\""))).Board!;

        Assert.Equal(60 * 0.0254, board.Outline.Bounds.Width, 12);
        Assert.Equal(0.3 * 0.0254, board.Vias[0].Drill, 12);
        Assert.Equal(25e-6, board.Vias[0].Plating, 12);
    }

    [Fact]
    public void Copper_between_two_dielectric_rows_takes_the_one_above_and_a_bare_stack_takes_fr4()
    {
        var between = LayoutReading.ReadBoard(Sample.Edited(Sample.Layout, ("/stack/3/between", null))).Board!;
        var bare = LayoutReading.ReadBoard(Sample.Utf8("""{"outline":{"type":"Polygon","coordinates":[[[0,0],[1,0],[1,1],[0,0]]]},"stack":[{"kind":"copper","name":"L1","thicknessUm":35}]}""")).Board!;

        Assert.Equal(new Conductivity(0.9, 0.35), between.Rows[3].Fill);
        Assert.Equal(Materials.Find("fr4")!.Conductivity, bare.Rows[0].Fill);
    }

    [Fact]
    public void Pointers_can_be_turned_into_those_of_another_document()
    {
        var document = LayoutReader.Read(Sample.Edited(Sample.Layout, ("/vias/0/net", "\"VCC\""))).Value!;

        var reading = BoardBuilder.Build(document, pointer => "/files/holes.drl#" + pointer);

        Assert.Equal("/files/holes.drl#/vias/0/net", Assert.Single(reading.Faults).Pointer);
        Assert.Null(reading.Value);
    }

    [Fact]
    public void Documents_not_from_JSON_are_judged_as_strictly()
    {
        var document = new LayoutDocument
        {
            Unit = "furlong",
            Outline = new Region([]),
            Stack = [new StackRowDocument { Kind = "copper", ThicknessUm = 0 }],
            Copper = [new CopperDocument { Layer = "L1", Area = new Region([new Polygon([new(0, 0), new(1, 1)])]) }, new CopperDocument { Layer = "" }],
            Vias = [new ViaDocument { Drill = 0 }],
            Parts = [new PartDocument { Id = "" }],
        };

        Assert.Equal(
            ["/unit", "/outline/coordinates", "/stack/0/name", "/stack/0/thicknessUm", "/copper/0/area/coordinates/0", "/copper/0/layer", "/copper/1", "/copper/1/layer", "/vias/0", "/vias/0/drill", "/parts/0", "/parts/0/id"],
            BoardBuilder.Build(document).Faults.Select(fault => fault.Pointer));
    }

    [Fact]
    public void Built_in_materials_carry_range_and_source()
    {
        Assert.All(Materials.BuiltIn, material =>
        {
            Assert.True(material.Conductivity is { InPlane: > 0, Through: > 0 });
            Assert.NotEmpty(material.Range);
            Assert.NotEmpty(material.Source);
        });
        Assert.Equal(Materials.BuiltIn.Count, Materials.BuiltIn.Select(material => material.Name).Distinct().Count());
        Assert.Equal(new Conductivity(390, 390), Materials.Find("copper")!.Conductivity);
    }
}
