using HeatSpread.Boards;
using HeatSpread.Import;
using Xunit;
using static HeatSpread.Tests.Import.SmallBoards;

namespace HeatSpread.Tests.Import;

/// <summary>Parts of boards whose copper names no pins: by a placement table, a component layer, or a body.</summary>
public sealed class PartsTests
{
    /// <summary>Two chips of two pads and a package of four, no attributes; (5, 5), (5, 8) and (14, 12).</summary>
    private const string Pads = "%ADD20R,0.6X0.8*%%ADD21R,1X0.4*%D20*X4.5Y5.0D03*X5.5Y5.0D03*X4.5Y8.0D03*X5.5Y8.0D03*D21*X12.0Y11.5D03*X12.0Y12.5D03*X16.0Y11.5D03*X16.0Y12.5D03*";

    private static readonly FabricationDescription Described = new() { Parts = [new() { Id = "C1", Watts = 0.1 }, new() { Id = "U1", Watts = 1 }] };

    private static ImportResult Import(FabricationDescription description, params FabricationFile[] more) =>
        ImportFiles(description, [Copper(1, Pads, "Top"), Copper(2, "", "Bot"), Profile, .. more]);

    private static LayoutDocument Sound(ImportResult result)
    {
        Assert.Empty(result.Faults);
        Assert.Empty(BoardBuilder.Build(result.Layout!).Faults);
        return result.Layout!;
    }

    private static double PadArea(PartDocument part) => part.Terminals.Sum(t => t.Pad.Polygons.Sum(p => p.Area));

    public static TheoryData<string> Tables =>
    [
        "Ref,Val,Package,PosX,PosY,Rot,Side\n\"C1\",\"1uF, 50V\",\"C_0402\",5.0,5.0,-90.0,top\n\"C2\",\"x\",\"y\",5.0,8.0,0,top\n\"U1\",\"z\",\"w\",14.0,12.0,0.0,top\n",
        "Designator;Mid X;Mid Y;Layer;Rotation\r\nC1;5.0mm;5.0mm;TopLayer;0\r\nC2;5.0mm;8.0mm;TopLayer;0\r\nU1;14.0mm;12.0mm;TopLayer;90\r\n",
        "Designator\tCenter-X(mil)\tCenter-Y(mil)\tLayer\nC1\t196.8504\t196.8504\tTop\nC2\t196.8504\t314.9606\tTop\nU1\t551.1811\t472.4409\tTop\n",
        "Some program's table\nUnits used: mm\n\nDesignator Comment   Layer    Center-X(mm) Center-Y(mm) Rotation Description\nC1         Capacitor TopLayer 5.0000       5.0000       270      \"A part\"\nC2         Capacitor TopLayer 5.0000       8.0000       0        \"\"\nU1         Chip      TopLayer 14.0000      12.0000      0        \"A part of words\"\n",
        "# Ref  Val  Package  PosX  PosY  Rot  Side\nC1 1uF C_0402 5.0 5.0 0 top\nC2 1uF C_0402 5.0 8.0 0 top\nU1 chip QFN 14.0 12.0 0 top\n## End\n",
        "RefDes,X,Y,Angle,TB\nC1,0.19685,0.19685,0,T\nC2,0.19685,0.31496,0,T\nU1,0.55118,0.47244,0,T\n",
    ];

    [Theory]
    [MemberData(nameof(Tables))]
    public void A_placement_table_of_any_common_make_gives_the_parts_their_pads(string table)
    {
        var result = Import(Described, Text("placement.csv", table));
        var layout = Sound(result);
        Assert.Equal(["C1", "U1"], layout.Parts.Select(p => p.Id));
        Assert.Equal(2 * 0.48, PadArea(layout.Parts[0]), 9);
        Assert.Equal(4 * 0.4, PadArea(layout.Parts[1]), 9);
        Assert.Equal(new Box(11.5, 11.3, 16.5, 12.7), layout.Parts[1].Body!.Bounds);
        Assert.Equal(["C1", "C2", "U1"], result.Components.Select(c => c.Id));
        Assert.Equal(5, result.Components[0].AtMm!.Value.X, 3);
        Assert.Contains(result.Warnings, w => w.Contains("were taken for its own", StringComparison.Ordinal));
    }

    [Fact]
    public void A_unit_that_a_table_does_not_say_is_found_by_the_board_and_told()
    {
        var result = Import(Described, Text("p.csv", "RefDes,X,Y\nC1,0.19685,0.19685\nC2,0.19685,0.31496\nU1,0.55118,0.47244\n"));
        Assert.Contains(result.Warnings, w => w.Contains("does not say its unit; inch", StringComparison.Ordinal));
    }

    [Fact]
    public void Pads_under_a_given_body_are_terminals_by_net()
    {
        var description = new FabricationDescription { Parts = [new() { Id = "U1", Watts = 1, Body = Rectangle(11, 11, 17, 13) }] };
        var part = Assert.Single(Sound(Import(description)).Parts);
        Assert.Equal(4 * 0.4, PadArea(part), 9);
        Assert.Equal(4, part.Terminals.Count);
        Assert.All(part.Terminals, t => Assert.Equal(t.Name, t.Net));
        Assert.Equal(11, part.Body!.Bounds.MinX);
    }

    [Fact]
    public void Vias_under_a_body_are_no_pads()
    {
        var description = new FabricationDescription { Parts = [new() { Id = "U1", Watts = 1, Body = Rectangle(11, 11, 17, 13) }] };
        var copper = Copper(1, Pads + "%ADD22C,0.6*%D22*X14.0Y12.0D03*", "Top");
        var part = Assert.Single(Sound(ImportFiles(description, copper, Copper(2, "", "Bot"), Profile, Drill("v-PTH.drl", "T1\nX14.0Y12.0"))).Parts);
        Assert.Equal(4 * 0.4, PadArea(part), 9);
    }

    [Fact]
    public void What_is_missing_is_asked_for_by_name()
    {
        var fault = Import(Described with { Parts = [new() { Id = "Q7", Watts = 1 }] }, Text("pos.csv", "Ref,PosX,PosY\nC1,5,5\n")).Faults.Single();
        Assert.Equal("/parts/0/id", fault.Pointer);
        Assert.Contains("'Q7'", fault.Detail, StringComparison.Ordinal);
        Assert.Contains("pos.csv does not name it", fault.Detail, StringComparison.Ordinal);
        Assert.Contains("'body'", fault.Detail, StringComparison.Ordinal);
        Assert.Contains("Ref, PosX, PosY", fault.Detail, StringComparison.Ordinal);
    }

    /// <summary>Gerber X3: the centre is a flash, pins are flashed, the outline is drawn.</summary>
    [Fact]
    public void A_component_layer_gives_side_pins_height_and_body()
    {
        const string Component = "%TF.FileFunction,Component,L1,Top*%%TA.AperFunction,ComponentMain*%%ADD10C,0.3*%%TA.AperFunction,ComponentOutline,Body*%%ADD11C,0.1*%%TA.AperFunction,ComponentPin*%%ADD12P,0.36X4X0*%%TD*%"
            + "%TO.C,U1*%%TO.CRot,90*%%TO.CHgt,1.2*%D10*X14.0Y12.0D03*D11*X11.0Y11.0D02*X17.0D01*Y13.0D01*X11.0D01*Y11.0D01*"
            + "D12*%TO.P,U1,1,VDD*%X12.0Y12.5D03*%TO.P,U1,2*%X12.0Y11.5D03*%TO.P,U1,3*%X16.0Y11.5D03*%TO.P,U1,4*%X16.0Y12.5D03*%TD*%";
        var result = Import(new FabricationDescription { Parts = [new() { Id = "U1", Watts = 1 }] }, Gerber("parts.gbr", Component));
        var part = Assert.Single(Sound(result).Parts);
        Assert.Equal(["1", "2", "3", "4"], part.Terminals.Select(t => t.Name));
        Assert.Equal(new Box(11, 11, 17, 13), part.Body!.Bounds);
        Assert.Equal(new FoundComponent("U1", "top", new Point(14, 12), 90, 1.2, 4), Assert.Single(result.Components));
    }

    [Fact]
    public void A_netlist_names_the_nets()
    {
        // Columns of IPC-D-356: name 4 to 17, access at 39, then X and Y in 0.0001 inch.
        const string Netlist = "C  a comment\nP  UNITS CUST 0\nP  NNAME1        A_VERY_LONG_NET_NAME\n"
            + "327VIN              C1    -1           A01X+001772Y+001969X0236Y0315R000S2\n"
            + "327NNAME1           C1    -2           A01X+002165Y+001969X0236Y0315R000S2\n"
            + "327N/C              C2    -1           A01X+001772Y+003150X0236Y0315R000S2\n"
            + "327GND              C2    -2           A01X+002165Y+003150X0236Y0315R000S2\n999\n";
        var result = Import(new FabricationDescription(), Text("board.d356", Netlist));
        Assert.Equal(["VIN", "A_VERY_LONG_NET_NAME", "GND"], Sound(result).Nets.Select(n => n.Name).Where(n => !n.StartsWith("NET", StringComparison.Ordinal)));
        Assert.Contains(result.Warnings, w => w.Contains("named by the netlist", StringComparison.Ordinal));
    }

    [Fact]
    public void Nets_that_must_be_kept_apart_and_are_joined_are_told()
    {
        var description = new FabricationDescription { Nets = [new("AGND", ["GND"], false), new("GND", [], false)] };
        var result = ImportFiles(description, Copper(1, "%ADD20R,4X1*%D20*%TO.N,AGND*%X5.0Y5.0D03*%TO.N,GND*%X8.0Y5.0D03*"), Profile);
        Assert.Contains(result.Warnings, w => w.Contains("'AGND' must be kept apart from 'GND'", StringComparison.Ordinal));
    }

    [Fact]
    public void Placements_of_real_boards_lie_on_their_pads()
    {
        foreach (var (board, table, least) in new[] { ("moteus-c1", "moteus_c1-pos.csv", 0.9), ("alhambra-ii", "Pick Place for Alhambra_II.txt", 0.9) })
        {
            // Without pin attributes: names of pins are taken out of the copper.
            var files = SharedBoards.GerberFiles(board).Select(f => f.Name.EndsWith(".drl", StringComparison.Ordinal) || f.Name == table ? f : f with { Content = System.Text.Encoding.UTF8.GetBytes(System.Text.Encoding.Latin1.GetString(f.Content.Span).Replace("%TO.P", "%TO.Q", StringComparison.Ordinal).Replace("%TO.C", "%TO.Q", StringComparison.Ordinal)) }).ToList();
            var known = FabricationImport.Import(SharedBoards.Describe(), files, TestContext.Current.CancellationToken).Components;
            var described = known.Select(c => new PartDocument { Id = c.Id, Watts = 0.01 }).ToArray();
            var result = FabricationImport.Import(SharedBoards.Describe(described), files, TestContext.Current.CancellationToken);
            int missing = result.Faults.Count;
            TestContext.Current.TestOutputHelper?.WriteLine($"{board}: {known.Count} placed, {missing} without pads");
            Assert.True(known.Count > 50 && missing <= (1 - least) * known.Count, $"{board}: {missing} of {known.Count} placed parts have no pads\n{string.Join('\n', result.Faults.Select(f => f.Detail).Take(60))}");
        }
    }

    [Fact]
    public void A_pin_in_a_plated_hole_has_its_pad_on_both_sides()
    {
        const string Pins = "%ADD20C,1.8*%%ADD21R,1.8X1.8*%%ADD22R,4X4*%%TO.P,J1,1*%D21*X5.0Y5.0D03*%TO.P,J1,2*%D20*X8.0Y5.0D03*%TO.P,U1,1*%D22*X14.0Y12.0D03*%TD*%";
        const string Opposite = "%ADD20C,1.8*%%TO.P,J1,1*%D20*X5.0Y5.0D03*%TO.P,J1,2*%D20*X8.0Y5.0D03*%TD*%%ADD23C,0.8*%D23*X14.0Y12.0D03*";
        var description = new FabricationDescription { Parts = [new() { Id = "J1", Watts = 0.1 }, new() { Id = "U1", Watts = 1 }] };
        var result = ImportFiles(description, Copper(1, Pins, "Top"), Copper(2, Opposite, "Bot"), Profile, Drill("x-PTH.drl", "T2\nX5.0Y5.0\nX8.0Y5.0\nT1\nX14.0Y12.0"));
        var layout = Sound(result);
        Assert.All(layout.Parts[0].Terminals, t => Assert.Equal("both", t.Side));
        // The square pad of the top meets a round one below: what both have is round.
        Assert.All(layout.Parts[0].Terminals, t => Assert.Equal(Math.PI * 0.81, t.Pad.Polygons.Sum(p => p.Area), 3));
        var pad = Assert.Single(layout.Parts[1].Terminals); // a via in a pad is no pin
        Assert.Null(pad.Side);
        Assert.Equal(16, pad.Pad.Polygons.Sum(p => p.Area), 9);
    }

    [Fact]
    public void A_pin_in_an_unplated_or_a_blind_hole_has_its_pad_on_its_side()
    {
        const string Pins = "%ADD20C,1.8*%%TO.P,J1,1*%D20*X5.0Y5.0D03*%TD*%";
        var description = new FabricationDescription { Parts = [new() { Id = "J1", Watts = 0.1 }] };
        var layout = Sound(ImportFiles(description, Copper(1, Pins, "Top"), Copper(2, Pins, "Bot"), Profile, Drill("x-NPTH.drl", "T2\nX5.0Y5.0")));
        Assert.Null(Assert.Single(Assert.Single(layout.Parts).Terminals).Side);
    }
}
