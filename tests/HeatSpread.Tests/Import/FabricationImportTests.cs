using HeatSpread.Boards;
using HeatSpread.Import;
using Xunit;
using static HeatSpread.Tests.Import.SmallBoards;

namespace HeatSpread.Tests.Import;

/// <summary>From files to a layout, on small boards whose answer is plain.</summary>
public sealed class FabricationImportTests
{
    private const string Pad = "%ADD20R,2X2*%";

    private static LayoutDocument Sound(ImportResult result)
    {
        Assert.Empty(result.Faults);
        var board = BoardBuilder.Build(LayoutReader.Read(LayoutWriter.Write(result.Layout!)).Value!);
        Assert.Empty(board.Faults);
        return result.Layout!;
    }

    // --- layers

    [Fact]
    public void Layers_follow_their_file_functions_and_a_usual_stack_is_told()
    {
        var result = ImportFiles(Copper(4, Pad + "D20*X5.0Y5.0D03*", "Bot"), Copper(2, Pad + "D20*X9.0Y5.0D03*"), Profile, Copper(1, Pad + "D20*X5.0Y9.0D03*", "Top"), Copper(3, Pad + "D20*X9.0Y9.0D03*"));
        var layout = Sound(result);
        Assert.Equal(["L1", "L2", "L3", "L4"], layout.Stack.Where(r => r.Kind == "copper").Select(r => r.Name));
        Assert.Equal([new(9, 5)], [Center(layout.Copper.Single(c => c.Layer == "L2"))]);
        Assert.Contains(result.Warnings, w => w.Contains("no stack", StringComparison.Ordinal));
        Assert.Equal(1600, layout.Stack.Sum(r => r.ThicknessUm), 6);
    }

    private static Point Center(CopperDocument copper)
    {
        var box = copper.Area!.Bounds;
        return new((box.MinX + box.MaxX) / 2, (box.MinY + box.MaxY) / 2);
    }

    [Theory]
    [InlineData("b.gtl", "b.g1", "b.g2", "b.gbl")]
    [InlineData("b.gtl", "b.g2", "b.g3", "b.gbl")]
    [InlineData("b.GTL", "b.GP1", "b.GP2", "b.GBL")]
    [InlineData("x-F_Cu.gbr", "x-In1_Cu.gbr", "x-In2_Cu.gbr", "x-B_Cu.gbr")]
    [InlineData("top.gbr", "inner1.gbr", "inner2.gbr", "bottom.gbr")]
    [InlineData("b.cmp", "b.ly2", "b.ly3", "b.sol")]
    [InlineData("layer1.gbr", "layer2.gbr", "layer3.gbr", "layer4.gbr")]
    public void Layers_without_attributes_follow_their_names_and_the_guess_is_told(params string[] names)
    {
        var files = names.Select((name, i) => Gerber(name, $"{Pad}D20*X{2 + i}.0Y5.0D03*")).Reverse().Append(Profile).Append(Gerber("b.gts", "")).ToArray();
        var result = ImportFiles(files);
        var layout = Sound(result);
        for (int i = 0; i < 4; i++)
        {
            Assert.Equal(2 + i, Center(layout.Copper.Single(c => c.Layer == $"L{i + 1}")).X);
            Assert.Contains(result.Warnings, w => w.Contains($"{names[i]}: taken as copper layer {i + 1}", StringComparison.Ordinal));
        }
        Assert.Contains(result.Warnings, w => w.Contains("b.gts (solder mask)", StringComparison.Ordinal));
    }

    [Fact]
    public void The_description_overrides_names_and_attributes()
    {
        var description = new FabricationDescription
        {
            Stack = [Row("copper", "TOP"), Row("dielectric"), Row("copper", "BOT")],
            Files = [new() { File = "copper1.gbr", Layer = "BOT" }, new() { File = "b.xyz", Layer = "TOP" }],
        };
        var layout = Sound(ImportFiles(description, Copper(1, Pad + "D20*X5.0Y5.0D03*"), Gerber("b.xyz", Pad + "D20*X9.0Y5.0D03*"), Profile));
        Assert.Equal(9, Center(layout.Copper.Single(c => c.Layer == "TOP")).X);
        Assert.Equal(5, Center(layout.Copper.Single(c => c.Layer == "BOT")).X);
    }

    [Fact]
    public void The_number_of_copper_files_must_be_that_of_the_copper_rows()
    {
        var description = new FabricationDescription { Stack = [Row("copper", "TOP"), Row("dielectric"), Row("copper", "BOT")] };
        var fault = Assert.Single(ImportFiles(description, Copper(1, Pad + "D20*X5.0Y5.0D03*"), Profile).Faults);
        Assert.Equal("/stack", fault.Pointer);
        Assert.Contains("2 copper rows (TOP, BOT)", fault.Detail, StringComparison.Ordinal);
        Assert.Contains("1 were found (copper1.gbr)", fault.Detail, StringComparison.Ordinal);
    }

    [Fact]
    public void Faults_of_the_files_section_are_listed_together()
    {
        var description = new FabricationDescription
        {
            Stack = [Row("copper", "TOP")],
            Files = [new() { File = "nowhere.gbr", Layer = "TOP" }, new() { File = "copper1.gbr", Layer = "MIDDLE" }],
        };
        var result = ImportFiles(description, Copper(1, Pad + "D20*X5.0Y5.0D03*"), Profile);
        Assert.Contains(result.Faults, f => f.Pointer == "/files/0/file" && f.Detail.Contains("copper1.gbr", StringComparison.Ordinal));
        var other = ImportFiles(description with { Files = [description.Files[1]] }, Copper(1, Pad + "D20*X5.0Y5.0D03*"), Profile);
        Assert.Contains(other.Faults, f => f.Pointer == "/files/0/layer" && f.Detail.Contains("TOP", StringComparison.Ordinal));
    }

    [Fact]
    public void Two_files_for_one_layer_are_a_fault() =>
        Assert.Contains(ImportFiles(Copper(1, Pad), Gerber("other.gbr", "%TF.FileFunction,Copper,L1,Top*%" + Pad), Profile).Faults, f => f.Detail.Contains("copper1.gbr", StringComparison.Ordinal) || f.Detail.Contains("other.gbr", StringComparison.Ordinal));

    [Fact]
    public void Every_unreadable_file_is_told_with_line_and_column()
    {
        var result = ImportFiles(Copper(1, "\nD99*\nX0.0Y0.0D03*"), Copper(2, "%ADD10Q,1*%"), Profile);
        Assert.Null(result.Layout);
        Assert.Equal(["/files/copper1.gbr", "/files/copper2.gbr"], result.Faults.Select(f => f.Pointer));
        Assert.All(result.Faults, f => Assert.StartsWith("line ", f.Detail, StringComparison.Ordinal));
    }

    // --- outline

    [Fact]
    public void The_outermost_ring_is_board_and_inner_rings_are_openings()
    {
        var edge = Gerber("b.gm1", "%ADD10C,0.1*%D10*X0.0Y0.0D02*X20.0D01*X20.0Y20.0D02*X20.0Y0.0D01*X0.0Y20.0D02*X20.0D01*X0.0Y0.0D02*Y20.0D01*X12.0Y10.0D02*G75*G03X12.0Y10.0I-2.0J0.0D01*");
        var outline = Sound(ImportFiles(Copper(1, Pad + "D20*X5.0Y5.0D03*", "Top"), edge)).Outline;
        var polygon = Assert.Single(outline.Polygons);
        Assert.Single(polygon.Holes);
        Assert.Equal(400 - 4 * Math.PI, polygon.Area, 3);
    }

    [Fact]
    public void Small_gaps_are_closed_and_told()
    {
        var edge = Gerber("edge.gbr", "%TF.FileFunction,Profile,NP*%%ADD10C,0.1*%D10*X0.0Y0.0D02*X20.0D01*X20.03Y0.0D02*X20.0Y20.0D01*X0.0Y20.0D01*X0.0Y0.06D01*");
        var result = ImportFiles(Copper(1, Pad + "D20*X5.0Y5.0D03*", "Top"), edge);
        Assert.Equal(400, Sound(result).Outline.Polygons[0].Area, 0);
        Assert.Contains(result.Warnings, w => w.Contains("gaps of the outline up to 0.1 mm", StringComparison.Ordinal));
    }

    [Fact]
    public void Two_profile_files_are_taken_together_and_that_is_told()
    {
        var inner = Gerber("slot.gbr", "%TF.FileFunction,Profile,NP*%%ADD10C,0.1*%D10*X8.0Y8.0D02*X12.0D01*Y12.0D01*X8.0D01*Y8.0D01*");
        var result = ImportFiles(Copper(1, Pad + "D20*X5.0Y5.0D03*", "Top"), Profile, inner);
        Assert.Equal(20 * 20 - 4 * 4, Sound(result).Outline.Polygons.Sum(p => p.Area), 6);
        Assert.Contains(result.Warnings, w => w.StartsWith("edge.gbr, slot.gbr: taken together", StringComparison.Ordinal));
    }

    [Theory]
    [InlineData("X5.0Y5.0", false)]
    [InlineData("X20.5Y5.0", false)]
    [InlineData("X127.0Y127.0", true)]
    public void Copper_that_lies_wholly_beside_the_board_is_told(string at, bool told)
    {
        var result = ImportFiles(Copper(1, $"{Pad}D20*{at}D03*", "Top"), Profile);
        Assert.Equal(told, result.Warnings.Any(w => w.StartsWith("copper1.gbr: all copper of L1 lies outside", StringComparison.Ordinal)));
    }

    [Fact]
    public void An_outline_that_does_not_close_or_is_missing_is_a_fault()
    {
        var open = Gerber("edge.gbr", "%TF.FileFunction,Profile,NP*%%ADD10C,0.1*%D10*X0.0Y0.0D02*X20.0D01*Y20.0D01*");
        Assert.Contains(ImportFiles(Copper(1, Pad), open).Faults, f => f.Pointer == "/files/edge.gbr" && f.Detail.Contains("closed outline", StringComparison.Ordinal));
        Assert.Contains(ImportFiles(Copper(1, Pad)).Faults, f => f.Pointer == "/outline");
    }

    [Fact]
    public void A_description_in_inch_is_turned_into_millimetres()
    {
        var description = new FabricationDescription { Unit = "inch", Outline = Rectangle(0, 0, 1, 1), Parts = [new() { Id = "R1", Body = Rectangle(0.1, 0.1, 0.2, 0.2), Watts = 1 }] };
        var layout = Sound(ImportFiles(description, Copper(1, Pad + "D20*X5.0Y5.0D03*")));
        Assert.Equal("mm", layout.Unit);
        Assert.Equal(25.4, layout.Outline.Bounds.MaxX);
        Assert.Equal(2.54, layout.Parts[0].Body!.Bounds.MinX);
    }

    // --- holes

    [Fact]
    public void Holes_know_their_span_plating_and_net()
    {
        var via = Text("via.drl", "M48\nMETRIC\n; #@! TF.FileFunction,Plated,1,2,Blind\nT1C0.4\n%\nT1\nX5.0Y5.0\nX9.0Y5.0\nM30\n");
        var result = ImportFiles(Copper(1, Pad + "D20*%TO.N,GND*%X5.0Y5.0D03*%TO.N,VIN*%X9.0Y5.0D03*", "Top"), Copper(2, ""), Copper(3, "", "Bot"), Profile, via, Drill("board-NPTH.drl", "T2\nX15.0Y15.0"));
        var layout = Sound(result);
        Assert.Equal([("GND", "L1", "L2", 25.0), ("VIN", "L1", "L2", 25.0), (null, "L1", "L3", 0.0)], layout.Vias.Select(v => (v.Net, v.From!, v.To!, v.PlatingUm)));
        Assert.Equal([new HoleCount(0.4, 2, true), new HoleCount(1, 1, false)], result.Holes);
    }

    [Fact]
    public void The_description_says_what_a_drill_file_does_not()
    {
        var description = new FabricationDescription { Files = [new() { File = "x.drl", Drill = new("L2", "L3", false) }] };
        var layout = Sound(ImportFiles(description, Copper(1, Pad + "D20*X5.0Y5.0D03*"), Copper(2, ""), Copper(3, ""), Profile, Drill("x.drl", "T1\nX5.0Y5.0")));
        Assert.Equal(("L2", "L3", 0.0), (layout.Vias[0].From, layout.Vias[0].To, layout.Vias[0].PlatingUm));
        var wrong = description with { Files = [new() { File = "x.drl", Drill = new("L2", "L9", null) }] };
        Assert.Contains(ImportFiles(wrong, Copper(1, Pad), Copper(2, ""), Copper(3, ""), Profile, Drill("x.drl", "T1\nX5.0Y5.0")).Faults, f => f.Pointer == "/files/0/drill/to");
    }

    [Fact]
    public void A_plated_slot_keeps_its_plating_area_and_is_no_hole()
    {
        var result = ImportFiles(Copper(1, Pad + "D20*X5.0Y5.0D03*"), Profile, Drill("b-PTH.drl", "T2\nX4.0Y5.0G85X8.0Y5.0"));
        var via = Assert.Single(Sound(result).Vias);
        double Plating(double drill, double um) => Math.PI * (drill * um / 1000 - um * um / 1e6);
        double area = via.At!.Count * Plating(via.Drill, via.PlatingUm);
        double slot = 2 * 4 * 0.025 + Plating(1, 25);
        Assert.Equal(slot, area, 4);
        Assert.InRange(via.PlatingUm, 15, 40);
        Assert.All(via.At, p => Assert.Equal(0.5 - via.Drill / 2, DistanceToLine(p), 2e-3)); // along the inside of the wall
        Assert.Empty(result.Holes);
        Assert.Contains(result.Warnings, w => w.Contains("1 plated slots", StringComparison.Ordinal));
    }

    /// <summary>From the slot's centre line, (4, 5) to (8, 5).</summary>
    private static double DistanceToLine(Point p)
    {
        double dx = p.X - Math.Clamp(p.X, 4, 8), dy = p.Y - 5;
        return Math.Sqrt(dx * dx + dy * dy);
    }

    [Fact]
    public void An_unplated_slot_is_an_opening_of_the_board()
    {
        var result = ImportFiles(Copper(1, Pad + "D20*X15.0Y15.0D03*"), Profile, Drill("b-NPTH.drl", "T2\nX4.0Y5.0G85X8.0Y5.0\nG00X10.0Y10.0\nM15\nG01X10.0Y13.0\nX12.0Y13.0\nM16\nG05"));
        var layout = Sound(result);
        double straight = 4 + Math.PI / 4;
        double bent = 3 + 2 - 0.25 + Math.PI / 4 + Math.PI / 16; // two legs that share a quarter square, two half discs, a quarter disc outside the corner
        Assert.Equal(400 - straight - bent, layout.Outline.Polygons.Sum(p => p.Area), 3);
        Assert.Equal(2, layout.Outline.Polygons[0].Holes.Count);
        Assert.Empty(layout.Vias);
        Assert.Contains(result.Warnings, w => w.Contains("2 unplated slots", StringComparison.Ordinal));
    }

    [Theory]
    [InlineData("G00X0.0Y0.0\nM15\nG01X20.0Y0.0\nX20.0Y20.0\nX0.0Y20.0\nX0.0Y0.0\nM16", 400)] // along the outline
    [InlineData("G00X-1.0Y-1.0\nM15\nG01X21.0Y-1.0\nX21.0Y21.0\nX-1.0Y21.0\nX-1.0Y-1.0\nM16", 400)] // around it
    [InlineData("G00X5.0Y5.0\nM15\nG01X9.0Y5.0\nX9.0Y9.0\nX5.0Y9.0\nX5.0Y5.0\nM16", 400 - 25 + (1 - Math.PI / 4))] // what a closed route cuts free falls out
    public void Routes_mill_the_profile_or_cut_openings(string route, double area)
    {
        var layout = Sound(ImportFiles(Copper(1, Pad + "D20*X15.0Y15.0D03*"), Profile, Drill("b-NPTH.drl", "T2\n" + route + "\nG05")));
        Assert.Equal(area, layout.Outline.Polygons.Sum(p => p.Area), 2);
    }

    [Fact]
    public void A_span_may_come_from_the_name_of_a_drill_file_and_is_told()
    {
        var result = ImportFiles(Copper(1, Pad + "D20*X5.0Y5.0D03*", "Top"), Copper(2, ""), Copper(3, "", "Bot"), Profile, Drill("board-L1-L2-PTH.drl", "T1\nX5.0Y5.0"));
        Assert.Equal(("L1", "L2"), (Sound(result).Vias[0].From, Sound(result).Vias[0].To));
        Assert.Contains(result.Warnings, w => w.Contains("joining L1 to L2 alone, by its name", StringComparison.Ordinal));
    }

    [Fact]
    public void Drill_data_may_be_a_Gerber_file()
    {
        var drill = Gerber("drill.gbr", "%TF.FileFunction,Plated,1,1,PTH,Mixed*%%ADD10C,0.5*%D10*X5.0Y5.0D03*X6.0Y6.0D02*X8.0D01*");
        var result = ImportFiles(Copper(1, Pad + "D20*X5.0Y5.0D03*"), Profile, drill);
        Assert.Equal([new HoleCount(0.5, 1, true)], result.Holes);
        Assert.Equal(2, Sound(result).Vias.Count);
    }

    [Fact]
    public void Holes_off_the_board_are_left_out_and_told()
    {
        var result = ImportFiles(Copper(1, Pad + "D20*X5.0Y5.0D03*"), Profile, Drill("b-PTH.drl", "T1\nX5.0Y5.0\nX-3.0Y5.0"));
        Assert.Single(Assert.Single(Sound(result).Vias).At!);
        Assert.Contains(result.Warnings, w => w.Contains("1 holes or slots off the board", StringComparison.Ordinal));
    }

    // --- job files

    [Fact]
    public void A_job_file_gives_the_stack_where_the_description_does_not()
    {
        const string Job = """{ "Header": {}, "MaterialStackup": [ { "Type": "Legend" }, { "Type": "SolderMask", "Thickness": 0.01 }, { "Type": "Copper", "Thickness": 0.07, "Name": "F.Cu" }, { "Type": "Dielectric", "Thickness": 1.2, "Material": "FR4" }, { "Type": "Copper", "Thickness": 0.035 } ] }""";
        var files = new[] { Copper(1, Pad + "D20*X5.0Y5.0D03*", "Top"), Copper(2, "", "Bot"), Profile, Text("board.gbrjob", Job) };
        var result = ImportFiles(files);
        Assert.Equal([("mask", null, 10.0), ("copper", "L1", 70.0), ("dielectric", null, 1200.0), ("copper", "L2", 35.0)], Sound(result).Stack.Select(r => (r.Kind, r.Name, r.ThicknessUm)));
        Assert.Contains(result.Warnings, w => w.Contains("from this job file", StringComparison.Ordinal));
        Assert.Contains(ImportFiles([.. files.Where(f => f.Name != "copper2.gbr")]).Warnings, w => w.Contains("its stack was not taken", StringComparison.Ordinal));
    }

    // --- negative images

    [Fact]
    public void A_negative_image_is_the_board_without_what_it_draws()
    {
        var result = ImportFiles(Copper(1, "%IPNEG*%" + Pad + "D20*X5.0Y5.0D03*"), Profile);
        Assert.InRange(PaintedArea.Of(Sound(result).Copper, "L1"), 395.9, 396.1);
        Assert.Contains(result.Warnings, w => w.Contains("negative", StringComparison.Ordinal));
    }
}
