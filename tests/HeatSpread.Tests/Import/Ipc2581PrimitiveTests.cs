using HeatSpread.Boards;
using Xunit;
using static HeatSpread.Tests.Import.Ipc2581Text;

namespace HeatSpread.Tests.Import;

/// <summary>Each primitive of IPC-2581 against its area in closed form.</summary>
public sealed class Ipc2581PrimitiveTests
{
    /// <summary>Of the top layer, exact but for the chords of arcs.</summary>
    private static double Area(Ipc2581Text document) => PaintedArea.Of(document.Layout().Copper, "TOP", 0.0007);

    private static double Area(string shape) => Area(new Ipc2581Text { Top = Feature(shape) });

    public static TheoryData<string, double> Closed => new()
    {
        { "<Circle diameter=\"4\"/>", 4 * Math.PI },
        { "<RectCenter width=\"4\" height=\"3\"/>", 12 },
        { "<RectCorner lowerLeftX=\"-1\" lowerLeftY=\"0\" upperRightX=\"3\" upperRightY=\"2\"/>", 8 },
        { "<RectRound width=\"4\" height=\"3\" radius=\"0.5\" upperRight=\"true\" upperLeft=\"true\" lowerRight=\"true\" lowerLeft=\"true\"/>", 12 - (4 - Math.PI) * 0.25 },
        { "<RectRound width=\"4\" height=\"3\" radius=\"0.5\" upperRight=\"true\" lowerLeft=\"false\"/>", 12 - (4 - Math.PI) * 0.25 / 4 },
        { "<RectCham width=\"4\" height=\"3\" chamfer=\"0.5\" upperLeft=\"true\" lowerRight=\"true\"/>", 12 - 2 * 0.125 },
        { "<Oval width=\"5\" height=\"2\"/>", 3 * 2 + Math.PI },
        { "<Oval width=\"2\" height=\"5\"/>", 3 * 2 + Math.PI },
        { "<Ellipse width=\"6\" height=\"2\"/>", Math.PI * 3 },
        { "<Hexagon length=\"4\"/>", 3 * Math.Sqrt(3) / 2 * 4 },
        { "<Octagon length=\"4\"/>", 2 * Math.Sqrt(2) * 4 },
        { "<Diamond width=\"4\" height=\"3\"/>", 6 },
        { "<Triangle base=\"4\" height=\"3\"/>", 6 },
        { "<Butterfly shape=\"ROUND\" diameter=\"4\"/>", 2 * Math.PI },
        { "<Butterfly shape=\"SQUARE\" side=\"4\"/>", 8 },
        { "<Donut shape=\"ROUND\" outerDiameter=\"4\" innerDiameter=\"2\"/>", 3 * Math.PI },
        { "<Donut shape=\"SQUARE\" outerDiameter=\"4\" innerDiameter=\"2\"/>", 12 },
        { "<Donut shape=\"HEXAGON\" outerDiameter=\"4\" innerDiameter=\"2\"/>", 3 * Math.Sqrt(3) / 2 * (4 - 1) },
        { "<Donut shape=\"OCTAGON\" outerDiameter=\"4\" innerDiameter=\"2\"/>", 2 * Math.Sqrt(2) * (4 - 1) },
        { "<Thermal shape=\"SQUARE\" outerDiameter=\"4\" innerDiameter=\"2\" spokeCount=\"4\" gap=\"0.5\" spokeStartAngle=\"0\"/>", 12 - 4 * 0.5 },
        { "<Thermal shape=\"SQUARE\" outerDiameter=\"4\" innerDiameter=\"2\" spokeCount=\"2\" spokeWidth=\"0.5\" spokeStartAngle=\"90\"/>", 12 - 2 * 0.5 },
        { "<Moire diameter=\"4\" ringWidth=\"0.5\" ringGap=\"0.5\" ringNumber=\"2\"/>", Math.PI * (4 - 2.25 + 1 - 0.25) },
        { Polygon("Polygon", (0, 0), (3, 0), (3, 2)), 3 },
        { "<Contour>" + Polygon("Polygon", (0, 0), (4, 0), (4, 4), (0, 4)) + Polygon("Cutout", (1, 1), (2, 1), (2, 2), (1, 2)) + Polygon("Cutout", (2, 2), (3, 2), (3, 3), (2, 3)) + "</Contour>", 14 },
        { "<Polygon><PolyBegin x=\"2\" y=\"0\"/><PolyStepCurve x=\"-2\" y=\"0\" centerX=\"0\" centerY=\"0\" clockwise=\"false\"/><PolyStepSegment x=\"2\" y=\"0\"/></Polygon>", 2 * Math.PI },
        { "<Polygon><PolyBegin x=\"2\" y=\"0\"/><PolyStepSegment x=\"2\" y=\"-3\"/><PolyStepSegment x=\"-2\" y=\"-3\"/><PolyStepSegment x=\"-2\" y=\"0\"/><PolyStepCurve x=\"2\" y=\"0\" centerX=\"0\" centerY=\"0\" clockwise=\"true\"/></Polygon>", 12 + 2 * Math.PI },
        { "<Polygon><PolyBegin x=\"2\" y=\"0\"/><PolyStepCurve x=\"2\" y=\"0\" centerX=\"0\" centerY=\"0\" clockwise=\"true\"/></Polygon>", 4 * Math.PI },
        // A cut-in: out along y = 2, around a hole and back along the same edge.
        { Polygon("Polygon", (0, 0), (4, 0), (4, 4), (0, 4), (0, 2), (1, 2), (1, 3), (3, 3), (3, 1), (1, 1), (1, 2), (0, 2)), 12 },
    };

    [Theory]
    [MemberData(nameof(Closed))]
    public void Closed_shapes(string shape, double area) => Assert.Equal(area, Area(shape), area * 6e-4);

    public static TheoryData<string, double> Open => new()
    {
        { "<Line startX=\"0\" startY=\"0\" endX=\"4\" endY=\"0\"><LineDesc lineWidth=\"0.4\" lineEnd=\"ROUND\"/></Line>", 4 * 0.4 + 0.04 * Math.PI },
        { "<Line startX=\"0\" startY=\"0\" endX=\"4\" endY=\"0\"><LineDesc lineWidth=\"0.4\" lineEnd=\"SQUARE\"/></Line>", 4.4 * 0.4 },
        { "<Line startX=\"0\" startY=\"0\" endX=\"4\" endY=\"0\"><LineDesc lineWidth=\"0.4\" lineEnd=\"NONE\"/></Line>", 4 * 0.4 },
        { "<Line startX=\"0\" startY=\"0\" endX=\"4\" endY=\"0\"><LineDescRef id=\"L\"/></Line>", 4 * 0.5 + 0.0625 * Math.PI },
        { "<Polyline><PolyBegin x=\"0\" y=\"0\"/><PolyStepSegment x=\"4\" y=\"0\"/><PolyStepSegment x=\"4\" y=\"3\"/><LineDesc lineWidth=\"0.4\" lineEnd=\"NONE\"/></Polyline>", 7 * 0.4 - 0.04 + 0.01 * Math.PI },
        { "<Arc startX=\"2\" startY=\"0\" endX=\"-2\" endY=\"0\" centerX=\"0\" centerY=\"0\" clockwise=\"false\"><LineDesc lineWidth=\"0.4\" lineEnd=\"ROUND\"/></Arc>", 2 * Math.PI * 0.4 + 0.04 * Math.PI },
        { "<Circle diameter=\"4\"><LineDesc lineWidth=\"0.4\" lineEnd=\"ROUND\"/><FillDesc fillProperty=\"HOLLOW\"/></Circle>", 4 * Math.PI * 0.4 },
        { "<Circle diameter=\"4\"><LineDesc lineWidth=\"0.4\" lineEnd=\"ROUND\"/></Circle>", 2.2 * 2.2 * Math.PI },
        { "<RectCenter width=\"4\" height=\"3\"><LineDesc lineWidth=\"0.4\" lineEnd=\"ROUND\"/><FillDesc fillProperty=\"FILL\"/></RectCenter>", 12 + 14 * 0.2 + 0.04 * Math.PI },
        { "<RectCenter width=\"4\" height=\"3\"><LineDesc lineWidth=\"0.4\" lineEnd=\"ROUND\"/><FillDescRef id=\"H\"/></RectCenter>", 14 * 0.4 - 4 * 0.04 + 0.04 * Math.PI },
        { "<UserSpecial><RectCenter width=\"4\" height=\"3\"/><Circle diameter=\"2\"><FillDesc fillProperty=\"VOID\"/></Circle></UserSpecial>", 12 - Math.PI },
        { "<UserSpecial><UserSpecial><RectCenter width=\"4\" height=\"3\"/></UserSpecial><Circle diameter=\"2\"/></UserSpecial>", 12 },
    };

    [Theory]
    [MemberData(nameof(Open))]
    public void Lines_fills_and_groups(string shape, double area)
    {
        const string Dictionaries = "<DictionaryLineDesc units=\"INCH\"><EntryLineDesc id=\"L\"><LineDesc lineWidth=\"0.0196850393700787\" lineEnd=\"ROUND\"/></EntryLineDesc></DictionaryLineDesc>"
            + "<DictionaryFillDesc units=\"MILLIMETER\"><EntryFillDesc id=\"H\"><FillDesc fillProperty=\"HOLLOW\"/></EntryFillDesc></DictionaryFillDesc>";
        Assert.Equal(area, Area(new Ipc2581Text { Content = Dictionaries, Top = Feature(shape) }), area * 2e-3);
    }

    [Fact]
    public void Each_dictionary_has_its_own_unit()
    {
        const string Dictionaries = "<DictionaryStandard units=\"MICRON\"><EntryStandard id=\"C\"><RectCenter width=\"2000\" height=\"1000\"/></EntryStandard></DictionaryStandard>"
            + "<DictionaryUser units=\"INCH\"><EntryUser id=\"U\"><UserSpecial><RectCenter width=\"0.1\" height=\"0.1\"/></UserSpecial></EntryUser></DictionaryUser>";
        var one = new Ipc2581Text { Content = Dictionaries, Top = Feature("<StandardPrimitiveRef id=\"C\"/>") };
        Assert.Equal(2, Area(one), 2e-3);
        Assert.Equal(2.54 * 2.54, Area(one with { Top = Feature("<UserPrimitiveRef id=\"U\"/>") }), 6e-3);
    }

    [Theory]
    [InlineData("rotation=\"90\"", 9, 10, 10, 12)] // 2 × 1 with its corner at the origin: (0, 0) to (2, 1)
    [InlineData("mirror=\"true\"", 8, 10, 10, 11)]
    [InlineData("rotation=\"90\" mirror=\"true\"", 9, 8, 10, 10)]
    [InlineData("scale=\"2\"", 10, 10, 14, 12)]
    [InlineData("xOffset=\"1\" yOffset=\"2\"", 11, 12, 13, 13)]
    [InlineData("rotation=\"180\" xOffset=\"1\"", 7, 9, 9, 10)]
    public void A_shape_is_mirrored_then_turned_then_shifted(string xform, double minX, double minY, double maxX, double maxY)
    {
        var set = $"<Set><Pad padstackDefRef=\"P\"><Xform {xform}/><Location x=\"10\" y=\"10\"/><RectCorner lowerLeftX=\"0\" lowerLeftY=\"0\" upperRightX=\"2\" upperRightY=\"1\"/></Pad></Set>";
        Assert.Equal(new Box(minX, minY, maxX, maxY), new Ipc2581Text { Top = set }.Layout().Copper[0].Area!.Bounds);
    }

    [Fact]
    public void A_shape_in_a_dictionary_may_be_turned_itself()
    {
        const string Dictionary = "<DictionaryStandard units=\"MILLIMETER\"><EntryStandard id=\"C\"><RectCenter width=\"4\" height=\"2\"><Xform rotation=\"90\"/></RectCenter></EntryStandard></DictionaryStandard>";
        Assert.Equal(new Box(9, 8, 11, 12), new Ipc2581Text { Content = Dictionary, Top = Feature("<StandardPrimitiveRef id=\"C\"/>") }.Layout().Copper[0].Area!.Bounds);
    }

    [Fact]
    public void A_pad_without_a_shape_takes_its_padstacks_on_that_layer()
    {
        const string Padstack = "<PadStackDef name=\"P\"><PadstackHoleDef name=\"h\" diameter=\"0.5\" platingStatus=\"PLATED\" x=\"0\" y=\"0\"/>"
            + "<PadstackPadDef layerRef=\"BOT\" padUse=\"REGULAR\"><Location x=\"0\" y=\"0\"/><Circle diameter=\"9\"/></PadstackPadDef>"
            + "<PadstackPadDef layerRef=\"TOP\" padUse=\"ANTIPAD\"><Location x=\"0\" y=\"0\"/><Circle diameter=\"8\"/></PadstackPadDef>"
            + "<PadstackPadDef layerRef=\"TOP\" padUse=\"REGULAR\"><Location x=\"1\" y=\"0\"/><RectCenter width=\"2\" height=\"1\"/></PadstackPadDef></PadStackDef>";
        var layout = new Ipc2581Text { Step = Padstack, Top = "<Set net=\"A\"><Pad padstackDefRef=\"P\"><Xform rotation=\"90\"/><Location x=\"5\" y=\"5\"/></Pad></Set>" }.Layout();
        Assert.Equal(new Box(4.5, 5, 5.5, 7), layout.Copper[0].Area!.Bounds);
    }

    [Fact]
    public void Negative_sets_clear_what_stands_before_them()
    {
        string top = Feature("<RectCenter width=\"8\" height=\"8\"/>") + Feature("<RectCenter width=\"4\" height=\"4\"/>", "polarity=\"NEGATIVE\"") + Feature("<RectCenter width=\"2\" height=\"2\"/>");
        Assert.Equal(64 - 16 + 4, Area(new Ipc2581Text { Top = top }), 0.05);
    }

    [Fact]
    public void A_negative_layer_is_the_board_without_what_it_draws()
    {
        var document = new Ipc2581Text { Top = Feature("<RectCenter width=\"8\" height=\"8\"/>") };
        document = document with { Layers = document.Layers.Replace("side=\"TOP\" polarity=\"POSITIVE\"", "side=\"TOP\" polarity=\"NEGATIVE\"", StringComparison.Ordinal) };
        Assert.Equal(400 - 64, Area(document), 0.1);
    }

    [Fact]
    public void Text_is_left_out_and_told()
    {
        var result = new Ipc2581Text { Top = Feature("<RectCenter width=\"2\" height=\"2\"/><Text textString=\"A\" fontSize=\"10\"/>") }.Import();
        Assert.Empty(result.Faults);
        Assert.Contains(result.Warnings, w => w.Contains("text on copper", StringComparison.Ordinal));
    }
}
