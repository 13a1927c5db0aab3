using HeatSpread.Boards;
using Xunit;
using static HeatSpread.Tests.Import.SmallBoards;

namespace HeatSpread.Tests.Import;

/// <summary>Nets found by connection, and parts found by pins.</summary>
public sealed class NetTracingTests
{
    private const string Tools = "%ADD10C,0.2*%%ADD20R,2X2*%";

    [Fact]
    public void Copper_joined_on_a_layer_or_by_a_plated_hole_is_one_net()
    {
        var result = ImportFiles(
            Copper(1, Tools + "D20*X2.0Y2.0D03*D10*X2.0Y2.0D02*X10.0D01*D20*X10.0Y10.0D03*X15.0Y15.0D03*"),
            Copper(2, Tools + "D20*X8.0Y2.0D03*X15.0Y15.0D03*"),
            Profile, Drill("b-PTH.drl", "T1\nX8.0Y2.0"), Drill("b-NPTH.drl", "T1\nX15.0Y15.0"));
        var layout = result.Layout!;
        Assert.Equal("NET1", layout.Copper[0].Net);
        Assert.Equal("NET1", layout.Copper[1].Net);
        Assert.Equal("NET1", layout.Copper.First(c => c.Layer == "L2").Net);
        Assert.Equal(4, layout.Copper.Select(c => c.Net).Distinct().Count()); // the unplated hole joins nothing
        Assert.Equal(["NET1", null], layout.Vias.Select(v => v.Net));
        Assert.Contains(result.Warnings, w => w.Contains("name no nets", StringComparison.Ordinal));
    }

    [Fact]
    public void Names_go_by_decreasing_area()
    {
        var layout = ImportFiles(Copper(1, Tools + "%ADD30R,4X4*%D20*X2.0Y2.0D03*D30*X15.0Y15.0D03*"), Profile).Layout!;
        Assert.Equal(["NET2", "NET1"], layout.Copper.Select(c => c.Net));
    }

    [Theory]
    [InlineData("0.1", 2)]
    [InlineData("0.05", 2)]
    public void A_gap_of_the_finest_copper_separates(string gap, int nets)
    {
        // Two squares of 2 mm, side by side and one above the other.
        double shift = 2 + double.Parse(gap, System.Globalization.CultureInfo.InvariantCulture);
        string x = shift.ToString(System.Globalization.CultureInfo.InvariantCulture);
        Assert.Equal(nets, ImportFiles(Copper(1, Tools + $"%SRX2Y1I{x}J0*%D20*X5.0Y5.0D03*%SR*%"), Profile).Layout!.Nets.Count);
        Assert.Equal(nets, ImportFiles(Copper(1, Tools + $"%SRX1Y2I0J{x}*%D20*X5.0Y5.0D03*%SR*%"), Profile).Layout!.Nets.Count);
    }

    [Fact]
    public void Slanted_tracks_as_thin_as_they_come_connect()
    {
        const string Track = "%ADD11C,0.06*%D11*X2.0Y2.0D02*";
        foreach (string end in new[] { "X18.0Y2.1D01*", "X18.0Y18.0D01*", "X2.1Y18.0D01*", "X18.0Y9.0D01*" })
            Assert.Single(ImportFiles(Copper(1, Track + end), Profile).Layout!.Nets);
    }

    [Fact]
    public void A_pour_cut_by_a_clear_becomes_one_area_for_each_net()
    {
        var result = ImportFiles(Copper(1, "%ADD30R,10X10*%%ADD31R,0.5X12*%D30*X10.0Y10.0D03*%LPC*%D31*X10.0Y10.0D03*%LPD*%"), Profile);
        var dark = result.Layout!.Copper.Where(c => !c.Clear).ToList();
        Assert.Equal(2, dark.Count);
        Assert.Equal(["NET1", "NET2"], dark.Select(c => c.Net).Order());
        Assert.All(dark, c => Assert.Equal(47.5, c.Area!.Polygons.Sum(p => p.Area), 6));
        Assert.Contains(result.Warnings, w => w.Contains("cut by later clears", StringComparison.Ordinal));
    }

    [Fact]
    public void A_clear_that_later_copper_bridges_does_not_separate()
    {
        var layout = ImportFiles(Copper(1, Tools + "%ADD30R,10X10*%%ADD31R,0.5X12*%D30*X10.0Y10.0D03*%LPC*%D31*X10.0Y10.0D03*%LPD*%D10*X8.0Y10.0D02*X12.0D01*"), Profile).Layout!;
        Assert.Single(layout.Nets);
        Assert.Equal(3, layout.Copper.Count);
    }

    [Fact]
    public void A_thermal_relief_through_an_antipad_joins_and_an_antipad_alone_does_not()
    {
        const string Plane = "%ADD30R,16X16*%%ADD31C,2*%%ADD32C,1.2*%D30*X10.0Y10.0D03*%LPC*%D31*X5.0Y10.0D03*X15.0Y10.0D03*%LPD*%";
        var layout = ImportFiles(
            Copper(1, Tools + "D20*X5.0Y10.0D03*X15.0Y10.0D03*"),
            Copper(2, Tools + Plane + "D32*X5.0Y10.0D03*X15.0Y10.0D03*D10*X5.0Y10.0D02*X7.0D01*"),
            Profile, Drill("b-PTH.drl", "T1\nX5.0Y10.0\nX15.0Y10.0")).Layout!;
        var top = layout.Copper.Where(c => c.Layer == "L1").ToList();
        var plane = layout.Copper.First(c => c.Layer == "L2" && !c.Clear);
        Assert.Equal(plane.Net, top[0].Net);
        Assert.NotEqual(plane.Net, top[1].Net);
    }

    [Fact]
    public void Attributes_name_the_copper_they_touch_and_the_rest_is_of_no_net()
    {
        var layout = ImportFiles(Copper(1, Tools + "%TO.N,GND*%D20*X2.0Y2.0D03*%TD*%D10*X2.0Y2.0D02*X10.0D01*X15.0Y15.0D02*X16.0D01*"), Profile).Layout!;
        Assert.Equal(["GND", "GND", null], layout.Copper.Select(c => c.Net));
        Assert.Equal("GND", Assert.Single(layout.Nets).Name);
    }

    [Fact]
    public void Named_nets_joined_by_copper_are_told_and_keep_their_names()
    {
        var result = ImportFiles(Copper(1, Tools + "%TO.N,GND*%D20*X2.0Y2.0D03*%TO.N,AGND*%X3.0Y2.0D03*"), Profile, Drill("b-PTH.drl", "T1\nX3.5Y2.0\nX1.5Y2.0"));
        Assert.Equal(["GND", "AGND"], result.Layout!.Copper.Select(c => c.Net));
        Assert.Contains(result.Warnings, w => w.Contains("AGND, GND are joined by copper", StringComparison.Ordinal));
    }

    [Fact]
    public void The_descriptions_terminals_name_copper_and_learn_its_name()
    {
        var description = new FabricationDescription
        {
            Parts = [new() { Id = "U1", Watts = 1, Terminals = [new("1", "VIN", Rectangle(1.5, 1.5, 2.5, 2.5)), new("2", null, Rectangle(9.5, 9.5, 10.5, 10.5))] }],
        };
        var layout = ImportFiles(description, Copper(1, Tools + "D20*X2.0Y2.0D03*X10.0Y10.0D03*"), Profile).Layout!;
        Assert.Equal(["VIN", "NET1"], layout.Copper.Select(c => c.Net));
        Assert.Equal(["VIN", "NET1"], layout.Parts[0].Terminals.Select(t => t.Net));
    }

    // --- parts

    private const string Pins = "%TA.AperFunction,SMDPad,CuDef*%%ADD20R,2X1*%%TD*%D20*%TO.P,U1,1*%%TO.N,VIN*%X5.0Y5.0D03*%TO.P,U1,2*%%TO.N,GND*%X9.0Y5.0D03*X9.0Y7.0D03*%TD*%";

    [Theory]
    [InlineData(1, "top")]
    [InlineData(2, "bottom")]
    public void A_part_of_id_and_watts_gets_side_pads_and_nets(int layer, string side)
    {
        var description = new FabricationDescription { Parts = [new() { Id = "U1", Watts = 1.4 }] };
        var result = ImportFiles(description, Copper(1, layer == 1 ? Pins : ""), Copper(2, layer == 2 ? Pins : ""), Profile);
        var part = Assert.Single(result.Layout!.Parts);
        Assert.Equal(side, part.Side);
        Assert.Equal([("1", "VIN", 2.0), ("2", "GND", 4.0)], part.Terminals.Select(t => (t.Name, t.Net!, t.Pad.Polygons.Sum(p => p.Area))));
        Assert.Equal(new Box(4, 4.5, 10, 7.5), part.Body!.Bounds);
        Assert.Contains(result.Warnings, w => w.Contains("the body of part U1", StringComparison.Ordinal));
        Assert.Empty(BoardBuilder.Build(result.Layout!).Faults);
    }

    [Fact]
    public void A_part_that_the_files_do_not_know_is_a_fault_that_says_what_is_known()
    {
        var description = new FabricationDescription { Parts = [new() { Id = "U1" }, new() { Id = "U7" }] };
        var known = Assert.Single(ImportFiles(description, Copper(1, Pins), Profile).Faults);
        Assert.Equal("/parts/1/id", known.Pointer);
        Assert.Contains("U1", known.Detail, StringComparison.Ordinal);
        var none = ImportFiles(description, Copper(1, Tools + "D20*X2.0Y2.0D03*"), Profile).Faults;
        Assert.Equal(2, none.Count);
        Assert.All(none, f => Assert.Contains("'body' or 'terminals'", f.Detail, StringComparison.Ordinal));
    }

    [Fact]
    public void A_pad_over_the_edge_is_cut_off_there()
    {
        var description = new FabricationDescription { Parts = [new() { Id = "J1", Watts = 0 }] };
        var result = ImportFiles(description, Copper(1, "%ADD20R,2X2*%D20*%TO.P,J1,1*%%TO.N,A*%X20.0Y5.0D03*X5.0Y5.0D03*"), Profile);
        Assert.Equal(6, result.Layout!.Parts[0].Terminals[0].Pad.Polygons.Sum(p => p.Area), 6);
        Assert.Contains(result.Warnings, w => w.Contains("reach over the outline", StringComparison.Ordinal));
        Assert.Empty(BoardBuilder.Build(result.Layout!).Faults);
    }
}
