using System.IO.Compression;
using System.Text;
using HeatSpread.Boards;
using HeatSpread.Import;
using Xunit;
using static HeatSpread.Tests.Import.Ipc2581Text;

namespace HeatSpread.Tests.Import;

/// <summary>Stack, holes, components, steps and packing of IPC-2581 documents.</summary>
public sealed class Ipc2581BoardTests
{
    private const string Pads = "<Set net=\"VIN\"><Pad padstackDefRef=\"P\"><Location x=\"5\" y=\"5\"/><RectCenter width=\"2\" height=\"1\"/><PinRef componentRef=\"U1\" pin=\"1\"/></Pad></Set>"
        + "<Set net=\"GND\"><Pad padstackDefRef=\"P\"><Location x=\"9\" y=\"5\"/><RectCenter width=\"2\" height=\"1\"/><PinRef componentRef=\"U1\" pin=\"2\"/></Pad></Set>";

    private static string Package(string name, double half) => $"<Package name=\"{name}\"><Outline>{Polygon("Polygon", (-half, -1), (half, -1), (half, 1), (-half, 1))}<LineDesc lineWidth=\"0\" lineEnd=\"ROUND\"/></Outline><PickupPoint x=\"0\" y=\"0\"/></Package>";

    [Fact]
    public void Rows_come_in_their_sequence_with_materials_and_conductivities()
    {
        var document = new Ipc2581Text
        {
            Specs = "<Spec name=\"C\"><Conductor type=\"CONDUCTIVITY\"><Property value=\"290000\" unit=\"MHO/CM\"/></Conductor></Spec>"
                + "<Spec name=\"D\"><General type=\"MATERIAL\"><Property text=\"Ceramic\"/></General><General type=\"OTHER\" comment=\"thermal conductivity\"><Property value=\"1.5\" unit=\"W/MK\"/></General></Spec>"
                + "<Spec name=\"E\"><Conductor type=\"CONDUCTIVITY\"><Property value=\"5.959E7\" unit=\"SIEMENS/M\"/></Conductor></Spec>",
            Layers = "<Layer name=\"PASTE\" layerFunction=\"SOLDERPASTE\" side=\"TOP\"/><Layer name=\"MASK\" layerFunction=\"SOLDERMASK\" side=\"TOP\"/><Layer name=\"TOP\" layerFunction=\"SIGNAL\" side=\"TOP\"/>"
                + "<Layer name=\"D1\" layerFunction=\"DIELPREG\"/><Layer name=\"GND\" layerFunction=\"PLANE\"/><Layer name=\"D2\" layerFunction=\"DIELCORE\"/><Layer name=\"BOT\" layerFunction=\"MIXED\" side=\"BOTTOM\"/>",
            Stackup = "<Stackup overallThickness=\"1.5\"><StackupGroup name=\"outer\"><StackupLayer layerOrGroupRef=\"PASTE\" thickness=\"0.1\" sequence=\"1\"/><StackupLayer layerOrGroupRef=\"MASK\" thickness=\"0.02\" sequence=\"2\"/>"
                + "<StackupLayer layerOrGroupRef=\"TOP\" thickness=\"0.05\" sequence=\"3\"><SpecRef id=\"C\"/></StackupLayer><StackupLayer layerOrGroupRef=\"inner\" thickness=\"1.4\" sequence=\"4\"/>"
                + "<StackupLayer layerOrGroupRef=\"BOT\" thickness=\"0.05\" sequence=\"5\"/></StackupGroup>"
                + "<StackupGroup name=\"inner\"><StackupLayer layerOrGroupRef=\"D1\" thickness=\"0.2\" sequence=\"1\"><SpecRef id=\"D\"/></StackupLayer><StackupLayer layerOrGroupRef=\"GND\" thickness=\"0.018\" sequence=\"2\"><SpecRef id=\"SPEC_E\"/></StackupLayer>"
                + "<StackupLayer layerOrGroupRef=\"D2\" thickness=\"1.2\" sequence=\"3\"/></StackupGroup></Stackup>",
        };
        var layout = document.Layout();
        Assert.Equal(["MASK", "TOP", "D1", "GND", "D2", "BOT"], layout.Stack.Select(r => r.Name));
        Assert.Equal([20, 50, 200, 18, 1200, 50], layout.Stack.Select(r => r.ThicknessUm));
        Assert.Equal(195, layout.Stack[1].CopperConductivity!.Value, 0.1); // half of annealed copper's electrical conductivity
        Assert.Equal(new Conductivity(1.5, 1.5), layout.Stack[2].Conductivity);
        Assert.Null(layout.Stack[3].CopperConductivity);
        Assert.Equal("fr4", layout.Stack[4].Material);
    }

    [Fact]
    public void What_the_stack_up_does_not_say_is_taken_and_told()
    {
        var document = new Ipc2581Text { Stackup = "<Stackup><StackupGroup name=\"g\"><StackupLayer layerOrGroupRef=\"TOP\"/><StackupLayer layerOrGroupRef=\"CORE\"/><StackupLayer layerOrGroupRef=\"BOT\" thickness=\"0.07\"/></StackupGroup></Stackup>" };
        var result = document.Import();
        Assert.Equal([35, 200, 70], result.Layout!.Stack.Select(r => r.ThicknessUm));
        Assert.Contains(result.Warnings, w => w.Contains("no thickness of 'TOP'", StringComparison.Ordinal));
        var none = new Ipc2581Text { Stackup = "" }.Import();
        Assert.Equal(["TOP", "BOT"], none.Layout!.Stack.Where(r => r.Kind == "copper").Select(r => r.Name));
        Assert.Contains(none.Warnings, w => w.Contains("a usual one of 1.6 mm was taken", StringComparison.Ordinal));
    }

    [Fact]
    public void The_descriptions_stack_goes_before_the_documents()
    {
        StackRowDocument Row(string kind, string name) => new() { Kind = kind, Name = name, ThicknessUm = 100 };
        var description = new FabricationDescription { Stack = [Row("copper", "A"), Row("dielectric", "x"), Row("copper", "B")] };
        var layout = new Ipc2581Text { Top = Pads }.Layout(description);
        Assert.All(layout.Copper, c => Assert.Equal("A", c.Layer));
        var wrong = new Ipc2581Text().Import(description with { Stack = [Row("copper", "A")] });
        Assert.Equal("/stack", Assert.Single(wrong.Faults).Pointer);
    }

    [Fact]
    public void Holes_have_span_plating_and_net_and_slots_have_walls()
    {
        var document = new Ipc2581Text
        {
            Layers = "<Layer name=\"TOP\" layerFunction=\"SIGNAL\" side=\"TOP\"/><Layer name=\"D1\" layerFunction=\"DIELPREG\"/><Layer name=\"IN\" layerFunction=\"PLANE\"/><Layer name=\"D2\" layerFunction=\"DIELCORE\"/><Layer name=\"BOT\" layerFunction=\"SIGNAL\" side=\"BOTTOM\"/>"
                + "<Layer name=\"B\" layerFunction=\"DRILL\"><Span fromLayer=\"TOP\" toLayer=\"IN\"/></Layer><Layer name=\"T\" layerFunction=\"DRILL\"/><Layer name=\"R\" layerFunction=\"ROUT\"/>",
            Stackup = "<Stackup><StackupGroup name=\"g\"><StackupLayer layerOrGroupRef=\"TOP\" thickness=\"0.035\"/><StackupLayer layerOrGroupRef=\"D1\" thickness=\"0.2\"/><StackupLayer layerOrGroupRef=\"IN\" thickness=\"0.035\"/><StackupLayer layerOrGroupRef=\"D2\" thickness=\"0.2\"/><StackupLayer layerOrGroupRef=\"BOT\" thickness=\"0.035\"/></StackupGroup></Stackup>",
            Features = "<LayerFeature layerRef=\"B\"><Set net=\"A\"><Hole name=\"H\" diameter=\"0.2\" platingStatus=\"VIA\" x=\"3\" y=\"4\"/></Set></LayerFeature>"
                + "<LayerFeature layerRef=\"T\"><Set><Hole name=\"H\" diameter=\"3.2\" platingStatus=\"NONPLATED\" x=\"17\" y=\"17\"/></Set></LayerFeature>"
                + "<LayerFeature layerRef=\"R\"><Set net=\"B\"><SlotCavity name=\"S\" platingStatus=\"PLATED\"><Location x=\"10\" y=\"5\"/><Oval width=\"3\" height=\"1\"/></SlotCavity></Set>"
                + "<Set><SlotCavity name=\"S2\" platingStatus=\"NONPLATED\"><Location x=\"10\" y=\"15\"/><Outline>" + Polygon("Polygon", (-3, -1), (3, -1), (3, 1), (-3, 1)) + "<LineDesc lineWidth=\"0\" lineEnd=\"ROUND\"/></Outline></SlotCavity></Set></LayerFeature>",
        };
        var result = document.Import();
        var layout = document.Layout();
        Assert.Equal([("A", "TOP", "IN"), (null, "TOP", "BOT"), ("B", "TOP", "BOT")], layout.Vias.Select(v => (v.Net, v.From!, v.To!)));
        Assert.Equal([new HoleCount(0.2, 1, true), new HoleCount(3.2, 1, false)], result.Holes);
        Assert.Equal(400 - 12, layout.Outline.Polygons.Sum(p => p.Area), 6);
        var slot = layout.Vias[2];
        double t = slot.PlatingUm / 1000;
        Assert.Equal((2 * 2 + Math.PI) * 0.025 - Math.PI * 0.025 * 0.025, slot.At!.Count * Math.PI * (slot.Drill * t - t * t), 2e-4);
    }

    [Fact]
    public void What_a_rout_layer_draws_is_cut_from_board_and_copper()
    {
        string Line(string from, string to, string width) => FormattableString.Invariant($"<Set><Features><Polyline><PolyBegin {from}/><PolyStepSegment {to}/><LineDesc lineWidth=\"{width}\" lineEnd=\"ROUND\"/></Polyline></Features></Set>");
        string closed = Polygon("Polyline", (14, 12), (18, 12), (18, 15), (14, 15)).Replace("</Polyline>", "<LineDesc lineWidth=\"0\" lineEnd=\"ROUND\"/></Polyline>", StringComparison.Ordinal);
        var document = new Ipc2581Text
        {
            Top = $"<Set net=\"A\"><Features>{Polygon("Polygon", (1, 1), (19, 1), (19, 19), (1, 19)).Replace("<Polygon>", "<Contour><Polygon>", StringComparison.Ordinal)}</Contour></Features></Set>",
            Features = $"<LayerFeature layerRef=\"ROUT\">{Line("x=\"4\" y=\"6\"", "x=\"12\" y=\"6\"", "1")}<Set><Features>{closed}</Features></Set>{Line("x=\"0\" y=\"0\"", "x=\"0\" y=\"20\"", "0.5")}</LayerFeature>",
        };
        var result = document.Import();
        var layout = document.Layout();
        double cut = 8 + Math.PI / 4 + 12; // a slot of 1 mm over 8 mm, an opening of 4 by 3 mm; the line along the rim mills the profile
        Assert.Equal(400 - cut, layout.Outline.Polygons.Sum(p => p.Area), 3);
        Assert.Contains(result.Warnings, w => w.Contains("1 routes run along the outline", StringComparison.Ordinal));
        Assert.Contains(result.Warnings, w => w.Contains("2 unplated slots or routes are openings of the board", StringComparison.Ordinal));
        var board = BoardBuilder.Build(layout).Value!;
        var raster = HeatSpread.Thermal.CopperRaster.Build(board, HeatSpread.Thermal.BoardGrid.Over(board.Outline.Bounds, 0.5e-3), CancellationToken.None);
        Assert.Equal(324 - cut, raster.Layers[0].CopperArea * 1e6, 0.02);
    }

    [Fact]
    public void Components_become_parts_with_body_pins_and_nets_and_the_description_gives_the_watts()
    {
        var document = new Ipc2581Text
        {
            Step = Package("SO", 3) + "<Component refDes=\"U1\" packageRef=\"SO\" layerRef=\"TOP\" mountType=\"SMT\"><Location x=\"7\" y=\"5\"/></Component><Component refDes=\"X\" packageRef=\"none\" layerRef=\"TOP\"><Location x=\"1\" y=\"1\"/></Component>",
            Top = Pads,
        };
        var layout = document.Layout(new FabricationDescription { Parts = [new() { Id = "U1", Watts = 1.4 }] });
        var part = Assert.Single(layout.Parts);
        Assert.Equal((1.4, "top"), (part.Watts, part.Side));
        Assert.Equal([("1", "VIN"), ("2", "GND")], part.Terminals.Select(t => (t.Name, t.Net!)));
        Assert.Equal(new Box(4, 4, 10, 6), part.Body!.Bounds);
        var result = document.Import();
        Assert.Equal(0, Assert.Single(result.Layout!.Parts).Watts);
        Assert.Equal(["U1", "X"], result.Components.Select(c => c.Id));
        Assert.Contains(result.Warnings, w => w.Contains("no pads on the board", StringComparison.Ordinal) && w.Contains('X'));
    }

    /// <summary>As a common writer does it: pads, nets and spans with the placed padstacks, bare holes on a drill guide and again on a drill drawing.</summary>
    [Fact]
    public void Placed_padstacks_bring_pads_nets_and_spans_to_the_holes_of_a_drill_guide()
    {
        const string Guide = "<Set><Hole name=\"1\" diameter=\"0.3\" platingStatus=\"VIA\" x=\"15\" y=\"15\"/></Set><Set><Hole name=\"2\" diameter=\"2.6\" platingStatus=\"NONPLATED\" x=\"3\" y=\"15\"/></Set>";
        var document = new Ipc2581Text
        {
            Layers = new Ipc2581Text().Layers.Replace("<Layer name=\"DRILL\" layerFunction=\"DRILL\" side=\"ALL\"><Span fromLayer=\"TOP\" toLayer=\"BOT\"/></Layer>",
                "<Layer name=\"Guide\" layerFunction=\"DRILL\"/><Layer name=\"Drawing\" layerFunction=\"DRILL\"/><Layer name=\"Mask\" layerFunction=\"SOLDERMASK\" side=\"TOP\"/>", StringComparison.Ordinal),
            Content = "<DictionaryStandard units=\"MILLIMETER\"><EntryStandard id=\"RING\"><Circle diameter=\"0.7\"/></EntryStandard></DictionaryStandard>",
            Step = Package("SO", 3) + "<Component refDes=\"U1\" packageRef=\"SO\" layerRef=\"TOP\" mountType=\"SMT\"><Location x=\"7\" y=\"5\"/></Component>"
                + Placed("VIN", "<LayerPad layerRef=\"Mask\"><Location x=\"5\" y=\"5\"/><RectCenter width=\"9\" height=\"9\"/></LayerPad><LayerPad layerRef=\"TOP\"><Location x=\"5\" y=\"5\"/><RectCenter width=\"2\" height=\"1\"/><PinRef componentRef=\"U1\" pin=\"1\"/></LayerPad>")
                + Placed("No Net", "<LayerPad layerRef=\"TOP\"><Location x=\"9\" y=\"5\"/><RectCenter width=\"2\" height=\"1\"/><PinRef componentRef=\"U1\" pin=\"2\"/></LayerPad>")
                + Placed("VIN", Ring("TOP") + Ring("BOT") + "<LayerHole name=\"1\" diameter=\"0.3\" platingStatus=\"VIA\" x=\"15\" y=\"15.0005\"><Span fromLayer=\"TOP\" toLayer=\"BOT\"/></LayerHole>")
                + Placed("VIN", "<LayerHole name=\"3\" diameter=\"0.4\" platingStatus=\"PLATED\" x=\"17\" y=\"15\"><Span fromLayer=\"TOP\" toLayer=\"BOT\"/></LayerHole>"),
            Features = $"<LayerFeature layerRef=\"Guide\">{Guide}</LayerFeature><LayerFeature layerRef=\"Drawing\">{Guide}</LayerFeature>",
        };
        var result = document.Import(new FabricationDescription { Parts = [new() { Id = "U1", Watts = 1.4 }] });
        Assert.Empty(result.Faults);
        Assert.Contains(result.Warnings, w => w.Contains("lists 2 holes more than once", StringComparison.Ordinal));
        var layout = result.Layout!;
        Assert.Equal(["1", "2"], layout.Parts[0].Terminals.Select(t => t.Name));
        Assert.Equal("VIN", layout.Parts[0].Terminals[0].Net);
        var board = BoardBuilder.Build(layout).Value!;
        var raster = HeatSpread.Thermal.CopperRaster.Build(board, HeatSpread.Thermal.BoardGrid.Over(board.Outline.Bounds, 0.25e-3), CancellationToken.None);
        double ring = Math.PI / 4 * 0.7 * 0.7;
        Assert.Equal(2 * 2 * 1 + ring, raster.Layers[0].CopperArea * 1e6, 0.01);
        Assert.Equal(ring, raster.Layers[1].CopperArea * 1e6, 0.01);
        Assert.Equal([("VIN", 0.3, 1), ("VIN", 0.4, 1)], layout.Vias.Where(v => v.PlatingUm > 0).OrderBy(v => v.Drill).Select(v => (v.Net!, v.Drill, v.At!.Count)));

        static string Placed(string net, string inside) => $"<PadStack net=\"{net}\">{inside}</PadStack>";
        static string Ring(string layer) => $"<LayerPad layerRef=\"{layer}\"><Xform/><Location x=\"15\" y=\"15\"/><StandardPrimitiveRef id=\"RING\"/></LayerPad>";
    }

    [Fact]
    public void Holes_of_placed_padstacks_that_follow_each_other_down_one_axis_are_all_holes()
    {
        static string Hole(string from, string to) => $"<PadStack net=\"V\"><LayerHole name=\"1\" diameter=\"0.1\" platingStatus=\"VIA\" x=\"5\" y=\"5\"><Span fromLayer=\"{from}\" toLayer=\"{to}\"/></LayerHole></PadStack>";
        var document = new Ipc2581Text
        {
            Layers = "<Layer name=\"TOP\" layerFunction=\"SIGNAL\" side=\"TOP\"/><Layer name=\"MID\" layerFunction=\"SIGNAL\" side=\"INTERNAL\"/><Layer name=\"BOT\" layerFunction=\"SIGNAL\" side=\"BOTTOM\"/><Layer name=\"CORE\" layerFunction=\"DIELCORE\"/><Layer name=\"PREG\" layerFunction=\"DIELPREG\"/>",
            Stackup = "<Stackup name=\"S\"><StackupGroup name=\"G\"><StackupLayer layerOrGroupRef=\"TOP\" thickness=\"0.035\" sequence=\"1\"/><StackupLayer layerOrGroupRef=\"CORE\" thickness=\"0.5\" sequence=\"2\"/><StackupLayer layerOrGroupRef=\"MID\" thickness=\"0.035\" sequence=\"3\"/><StackupLayer layerOrGroupRef=\"PREG\" thickness=\"0.5\" sequence=\"4\"/><StackupLayer layerOrGroupRef=\"BOT\" thickness=\"0.035\" sequence=\"5\"/></StackupGroup></Stackup>",
            Step = Hole("TOP", "MID") + Hole("MID", "BOT") + Hole("TOP", "MID"),
            Top = Pads,
        };
        Assert.Equal([("TOP", "MID"), ("MID", "BOT")], document.Layout().Vias.Select(v => (v.From!, v.To!)));
    }

    [Fact]
    public void Nets_may_come_from_the_logical_or_the_physical_netlist()
    {
        string bare = Pads.Replace("net=\"VIN\"", "", StringComparison.Ordinal).Replace("net=\"GND\"", "", StringComparison.Ordinal);
        var logical = new Ipc2581Text { Step = "<LogicalNet name=\"V1\"><PinRef componentRef=\"U1\" pin=\"1\"/></LogicalNet><LogicalNet name=\"V2\"><PinRef componentRef=\"U1\" pin=\"2\"/></LogicalNet>", Top = bare }.Layout();
        Assert.Equal(["V1", "V2"], logical.Copper.Select(c => c.Net));
    }

    [Fact]
    public void Of_a_panel_one_board_is_taken()
    {
        var document = new Ipc2581Text { Top = Pads };
        string text = document.Text.Replace("<StepRef name=\"board\"/>", "<StepRef name=\"panel\"/>", StringComparison.Ordinal)
            .Replace("<Step name=\"board\">", "<Step name=\"panel\" type=\"PALLET\"><Profile>" + Polygon("Polygon", (0, 0), (100, 0), (100, 100), (0, 100)) + "</Profile><StepRepeat stepRef=\"board\" x=\"5\" y=\"5\" nx=\"2\" ny=\"3\" dx=\"30\" dy=\"30\" angle=\"0\" mirror=\"false\"/></Step><Step name=\"board\">", StringComparison.Ordinal);
        var result = FabricationImport.Import(new FabricationDescription(), [new FabricationFile("panel.xml", Encoding.UTF8.GetBytes(text))], CancellationToken.None);
        Assert.Equal(400, result.Layout!.Outline.Polygons.Sum(p => p.Area), 6);
        Assert.Contains(result.Warnings, w => w.Contains("is a panel", StringComparison.Ordinal) && w.Contains("2 × 3", StringComparison.Ordinal));
    }

    [Fact]
    public void Profile_cutouts_are_openings_and_inches_are_inches()
    {
        var document = new Ipc2581Text { Units = "INCH", Revision = "B" };
        document = document with { Profile = document.Profile.Replace("</Profile>", Polygon("Cutout", (5, 5), (6, 5), (6, 7), (5, 7)) + "</Profile>", StringComparison.Ordinal), Stackup = "" };
        Assert.Equal((400 - 2) * 25.4 * 25.4, document.Layout().Outline.Polygons.Sum(p => p.Area), 3);
    }

    [Theory]
    [InlineData("gz")]
    [InlineData("zip")]
    [InlineData("utf16")]
    [InlineData("cvg")]
    public void A_document_may_be_packed(string packing)
    {
        var document = new Ipc2581Text { Top = Pads };
        byte[] content = Encoding.UTF8.GetBytes(document.Text);
        using var stream = new MemoryStream();
        if (packing == "gz")
        {
            using (var gzip = new GZipStream(stream, CompressionLevel.Fastest, leaveOpen: true)) gzip.Write(content);
            content = stream.ToArray();
        }
        else if (packing == "zip")
        {
            using (var archive = new ZipArchive(stream, ZipArchiveMode.Create, leaveOpen: true))
            using (var entry = archive.CreateEntry("out/board.xml").Open()) entry.Write(content);
            content = stream.ToArray();
        }
        else if (packing == "utf16") content = [.. Encoding.Unicode.GetPreamble(), .. Encoding.Unicode.GetBytes(document.Text.Replace("UTF-8", "UTF-16", StringComparison.Ordinal))];
        var result = FabricationImport.Import(new FabricationDescription(), [new FabricationFile("board." + packing, content)], CancellationToken.None);
        Assert.Empty(result.Faults);
        Assert.Equal(2, result.Layout!.Copper.Count);
    }

    [Theory]
    [InlineData("<!DOCTYPE x [<!ENTITY e SYSTEM \"file:///etc/passwd\">]>", "document type")]
    [InlineData("", "well-formed")]
    public void Entities_and_broken_documents_are_faults_with_line_and_column(string declaration, string expected)
    {
        string text = new Ipc2581Text().Text;
        text = declaration.Length > 0 ? text.Replace("?>", "?>" + declaration, StringComparison.Ordinal) : text[..^20];
        var fault = Assert.Single(FabricationImport.Import(new FabricationDescription(), [new FabricationFile("board.xml", Encoding.UTF8.GetBytes(text))], CancellationToken.None).Faults);
        Assert.Equal("/files/board.xml", fault.Pointer);
        Assert.Contains(expected, fault.Detail, StringComparison.Ordinal);
        Assert.Matches(@"line \d+, column \d+", fault.Detail);
    }

    [Theory]
    [InlineData("<StandardPrimitiveRef id=\"none\"/>", "'none' is none")]
    [InlineData("<Circle diameter=\"wide\"/>", "must be a number")]
    [InlineData("<Circle/>", "must have the attribute 'diameter'")]
    [InlineData("<Circle diameter=\"1e9\"/>", "9 m")]
    [InlineData("<Polygon><PolyStepSegment x=\"0\" y=\"0\"/></Polygon>", "PolyBegin")]
    [InlineData("<UserPrimitiveRef id=\"loop\"/>", "in a circle")]
    public void What_cannot_be_read_is_a_fault_with_its_place(string shape, string expected)
    {
        var document = new Ipc2581Text { Content = "<DictionaryUser units=\"MILLIMETER\"><EntryUser id=\"loop\"><UserPrimitiveRef id=\"loop\"/></EntryUser></DictionaryUser>", Top = Feature(shape) };
        var fault = Assert.Single(document.Import().Faults);
        Assert.Contains(expected, fault.Detail, StringComparison.Ordinal);
        Assert.Matches(@"^line \d+, column \d+: ", fault.Detail);
    }
}
