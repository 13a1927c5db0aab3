using HeatSpread.Import;
using HeatSpread.Import.Gerber;
using HeatSpread.Import.Shapes;
using Xunit;
using static HeatSpread.Tests.Import.GerberText;

namespace HeatSpread.Tests.Import;

/// <summary>Features of the Gerber Layer Format Specification (Ucamco) and older forms, areas worked out by hand.</summary>
public sealed class GerberReaderTests
{
    private const string Disc1 = "%ADD10C,1*%D10*";

    // --- standard apertures (section 4.4)

    [Fact]
    public void A_circle_is_a_disc_of_exact_width()
    {
        var image = Read(Millimetres + "%ADD10C,0.6*%D10*X1000000Y2000000D03*M02*");
        var disc = Assert.IsType<StrokeShape>(Assert.Single(image.Objects).Shape);
        Assert.Equal(0.6, disc.Width);
        Assert.Equal([new(1, 2)], disc.Path);
    }

    [Theory]
    [InlineData("C,2X1", Math.PI * 0.75)]
    [InlineData("R,2X1", 2.0)]
    [InlineData("R,2X1X0.5", 2 - Math.PI / 16)]
    [InlineData("R,2X1X0.5X0.4", 1.8)]
    [InlineData("O,3X1", 2 + Math.PI / 4)]
    [InlineData("O,1X3X0.5", 2 + Math.PI / 4 - Math.PI / 16)]
    [InlineData("O,1X1", Math.PI / 4)]
    [InlineData("P,2X6", 2.598076)]
    [InlineData("P,2X4X45", 2.0)]
    [InlineData("P,2X6X0X1", 2.598076 - Math.PI / 4)]
    public void Standard_apertures_have_their_area(string aperture, double area) => AssertArea(area, $"%ADD10{aperture}*%D10*X0Y0D03*");

    [Fact]
    public void A_zero_size_circle_paints_nothing_and_is_legal() => Assert.Equal(0, Area("%ADD10C,0*%D10*X0Y0D03*X1000000D01*"));

    // --- coordinates and units (sections 4.1, 4.2)

    [Theory]
    [InlineData("%FSLAX24Y24*%%MOIN*%", "X10000Y5000D03*", 25.4, 12.7)]
    [InlineData("%FSLAX46Y46*%%MOMM*%", "X+1500000Y-2000000D03*", 1.5, -2)]
    [InlineData("%FSTAX33Y33*%%MOMM*%", "X0015Y01D03*", 1.5, 10)]
    [InlineData("%FSLAX23Y34*%%MOMM*%", "X1500Y15000D03*", 1.5, 1.5)]
    [InlineData("%FSLAN2X34Y34*%%MOMM*%", "X15000Y15000D03*", 1.5, 1.5)]
    [InlineData("%FSLIX33Y33*%%MOMM*%", "X1000Y1000D02*X500Y250D03*", 1.5, 1.25)]
    [InlineData("%FSLAX33Y33*%G71*G91*", "X1000Y1000D02*X500Y250D03*", 1.5, 1.25)]
    [InlineData("%FSLAX33Y33*%%MOMM*%", "X1.5Y-0.25D03*", 1.5, -0.25)]
    [InlineData("%FSLAX24Y24*%G70*", "X-0Y10000D03*", 0, 25.4)]
    [InlineData("%FSLAX33Y33*%%MOMM*%", "X1500Y700D02*Y900D03*", 1.5, 0.9)]
    public void Coordinates_are_read_in_every_format(string header, string operation, double x, double y)
    {
        var image = Read(header + "%ADD10C,0.01*%D10*" + operation + "M02*");
        Assert.Equal([new(x, y)], Assert.IsType<StrokeShape>(image.Objects[^1].Shape).Path);
    }

    [Fact]
    public void What_the_header_leaves_out_is_assumed_and_told()
    {
        var image = Read("%ADD10C,0.01*%D10*X10000Y0D03*M02*", out var warnings);
        Assert.Equal(25.4, Assert.IsType<StrokeShape>(image.Objects[0].Shape).Path[0].X);
        Assert.Contains(warnings, w => w.Contains("no unit", StringComparison.Ordinal));
        Assert.Contains(warnings, w => w.Contains("no coordinate format", StringComparison.Ordinal));
    }

    [Fact]
    public void Line_ends_mean_nothing_even_inside_a_command()
    {
        var image = Read("%FSLA\r\nX46Y46*%\n%MO\nMM*%%ADD10C,\n1*%D1\r\n0*X100\n0000Y0D0\n3*M02*");
        Assert.Equal([new(1, 0)], Assert.IsType<StrokeShape>(Assert.Single(image.Objects).Shape).Path);
    }

    [Fact]
    public void Commands_share_percent_signs_and_text_after_the_end_is_ignored()
    {
        var image = Read("%FSLAX46Y46*MOMM*ADD10C,1*LPD*LNname*%G54D10*X0Y0D3*M00*X5000000Y0D03*%garbage");
        Assert.Single(image.Objects);
    }

    [Fact]
    public void A_D_code_left_out_repeats_the_last()
    {
        var image = Read(Millimetres + Disc1 + "X0Y0D03*X2000000*Y1000000*M02*", out var warnings);
        Assert.Equal(3, image.Objects.Count);
        Assert.Contains(warnings, w => w.Contains("leaves out D codes", StringComparison.Ordinal));
    }

    // --- draws

    [Fact]
    public void A_round_draw_has_round_ends() => AssertArea(10 + Math.PI / 4, Disc1 + "X0Y0D02*G01X10000000D01*");

    [Fact]
    public void Draws_that_continue_each_other_are_one_stroke()
    {
        var image = Read(Millimetres + Disc1 + "X0Y0D02*X1000000D01*Y1000000D01*X5000000Y5000000D02*X6000000D01*M02*");
        Assert.Equal(2, image.Objects.Count);
        Assert.Equal(3, Assert.IsType<StrokeShape>(image.Objects[0].Shape).Path.Count);
    }

    [Theory]
    [InlineData("X10000000Y0D01*", 2 + 10)]
    [InlineData("X0Y10000000D01*", 2 + 20)]
    [InlineData("X3000000Y4000000D01*", 2 + 3 * 1 + 4 * 2)]
    [InlineData("X0Y0D01*", 2)]
    public void A_rectangular_draw_paints_the_hull(string draw, double area) => AssertArea(area, "%ADD10R,2X1*%D10*X0Y0D02*" + draw);

    [Fact]
    public void A_draw_of_no_length_is_the_aperture() => AssertArea(Math.PI / 4, Disc1 + "X0Y0D02*X0Y0D01*");

    // --- arcs (section 4.7)

    [Theory]
    [InlineData("G75*G03X0Y2000000I-2000000J0D01*", Math.PI / 2)]
    [InlineData("G75*G02X0Y2000000I-2000000J0D01*", 3 * Math.PI / 2)]
    [InlineData("G75*G03X2000000Y0I-2000000J0D01*", 2 * Math.PI)]
    [InlineData("G74*G03X0Y2000000I2000000J0D01*", Math.PI / 2)]
    [InlineData("G03X0Y2000000I2000000J0D01*", Math.PI / 2)] // neither G74 nor G75: only the quarter fits
    public void Arcs_turn_as_told(string arc, double angle) =>
        AssertArea(2 * angle * 0.2 + (angle < 6 ? Math.PI / 100 : 0), "%ADD10C,0.2*%D10*X2000000Y0D02*" + arc);

    [Fact]
    public void A_single_quadrant_arc_to_its_own_start_is_nothing() => AssertArea(Math.PI / 100, "%ADD10C,0.2*%D10*X2000000Y0D02*G74*G03X2000000Y0I2000000J0D01*");

    [Fact]
    public void An_arc_whose_radii_differ_by_rounding_is_accepted() => AssertArea(Math.PI * 0.2 + Math.PI / 100, "%ADD10C,0.2*%D10*X2000000Y0D02*G75*G03X0Y2000100I-2000000J0D01*");

    // --- regions (section 4.10)

    [Theory]
    [InlineData("X0Y0D02*X4000000D01*Y3000000D01*X0D01*Y0D01*", 12)]
    [InlineData("X0Y0D02*X4000000D01*Y3000000D01*X0D01*", 12)] // not closed
    [InlineData("G75*X2000000Y0D02*G03X2000000Y0I-2000000J0D01*G01*", 4 * Math.PI)]
    [InlineData("G75*X0Y0D02*G01X2000000D01*G03X0Y2000000I-2000000J0D01*G01X0Y0D01*", Math.PI)]
    [InlineData("X0Y0D02*X1000000D01*Y1000000D01*X0D01*Y0D01*X5000000Y0D02*X6000000D01*Y1000000D01*X5000000D01*Y0D01*", 2)]
    [InlineData("X0Y0D02*X2000000Y2000000D01*X2000000Y0D01*X0Y2000000D01*X0Y0D01*", 2)] // bow tie
    [InlineData("X0Y0D02*X4000000D01*Y4000000D01*X0D01*Y0D01*X4000000D01*Y4000000D01*X0D01*Y0D01*", 16)] // twice around: winding 2 is inside too
    public void Regions_fill_their_contours(string contours, double area) => AssertArea(area, "G36*" + contours + "G37*");

    [Fact]
    public void A_cut_in_makes_a_hole()
    {
        const string CutIn = "G36*X0Y0D02*X10000000D01*Y10000000D01*X0D01*Y5000000D01*X3000000D01*Y7000000D01*X7000000D01*Y3000000D01*X3000000D01*Y5000000D01*X0D01*Y0D01*G37*";
        AssertArea(100 - 16, CutIn);
        var image = Read(Millimetres + CutIn + "M02*", out var warnings);
        var polygon = Assert.Single(Assert.IsType<AreaShape>(Assert.Single(image.Objects).Shape).Polygons);
        Assert.Equal(16, Math.Abs(HeatSpread.Boards.Polygon.SignedArea(Assert.Single(polygon.Holes))), 9);
        Assert.Contains(warnings, w => w.Contains("touches or crosses itself", StringComparison.Ordinal));
    }

    [Fact]
    public void A_contour_that_is_sound_passes_unchanged()
    {
        var image = Read(Millimetres + "G36*X0Y0D02*X4000000D01*Y3000000D01*X0Y0D01*G37*M02*", out var warnings);
        Assert.Equal([new(0, 0), new(4, 0), new(4, 3)], Assert.IsType<AreaShape>(image.Objects[0].Shape).Polygons[0].Outer);
        Assert.Empty(warnings);
    }

    // --- polarity and transforms (section 4.9)

    [Fact]
    public void Clear_removes_what_is_before_it_and_dark_adds_again() =>
        AssertArea(16 - 4 + 1, "%ADD10R,4X4*%%ADD11R,2X2*%%ADD12R,1X1*%D10*X0Y0D03*%LPC*%D11*X0Y0D03*%LPD*%D12*X0Y0D03*");

    [Fact]
    public void Rotation_mirror_and_scale_act_on_the_aperture()
    {
        const string Tool = "%AMT*21,1,4,1,2,0,0*%%ADD10T*%D10*"; // a bar from 0 to 4 along x
        AssertBox(Read(Millimetres + Tool + "%LR90*%X0Y0D03*M02*"), -0.5, 0, 0.5, 4);
        AssertBox(Read(Millimetres + Tool + "%LMX*%X0Y0D03*M02*"), -4, -0.5, 0, 0.5);
        AssertBox(Read(Millimetres + Tool + "%LS0.5*%X1000000Y0D03*M02*"), 1, -0.25, 3, 0.25);
        AssertBox(Read(Millimetres + Tool + "%LMX*%%LR90*%X0Y0D03*M02*"), -0.5, -4, 0.5, 0); // mirror first, then turn
        AssertArea(5 + Math.PI / 16, "%ADD10C,1*%D10*%LS0.5*%X0Y0D02*X10000000D01*");
    }

    private static void AssertBox(GerberImage image, double minX, double minY, double maxX, double maxY)
    {
        var box = Bounds(image);
        Assert.Equal((minX, minY, maxX, maxY), (Math.Round(box.MinX, 6), Math.Round(box.MinY, 6), Math.Round(box.MaxX, 6), Math.Round(box.MaxY, 6)));
    }

    // --- step and repeat, block apertures (sections 4.11, 4.12)

    [Fact]
    public void Step_and_repeat_copies_the_block_with_its_polarity() =>
        AssertArea(6 * 3, "%ADD10R,2X2*%%ADD11R,1X1*%%SRX3Y2I5.0J4.0*%D10*X0Y0D03*%LPC*%D11*X0Y0D03*%LPD*%%SR*%");

    [Fact]
    public void Block_apertures_nest_and_take_part_in_polarity()
    {
        const string Blocks = "%ADD10R,1X1*%%ABD20*%D10*X0Y0D03*X2000000D03*%AB*%%ABD21*%D20*X0Y0D03*Y2000000D03*%AB*%";
        AssertArea(4, Blocks + "D21*X0Y0D03*");
        AssertArea(8, Blocks + "D21*X0Y0D03*X10000000D03*");
        AssertArea(100 - 4, "%ADD30R,10X10*%D30*X1000000Y1000000D03*" + Blocks + "%LPC*%D21*X0Y0D03*");
    }

    [Fact]
    public void A_clear_object_of_a_block_clears_and_turns_dark_when_the_block_is_flashed_clear()
    {
        const string Blocks = "%ADD10R,4X4*%%ADD11R,2X2*%%ABD20*%D10*X0Y0D03*%LPC*%D11*X0Y0D03*%LPD*%%AB*%";
        AssertArea(12, Blocks + "D20*X0Y0D03*");
        AssertArea(100 - 12, "%ADD30R,10X10*%D30*X0Y0D03*" + Blocks + "%LPC*%D20*X0Y0D03*");
    }

    [Fact]
    public void A_block_is_turned_and_mirrored_as_a_whole()
    {
        var image = Read(Millimetres + "%ADD10C,1*%%ABD20*%D10*X3000000Y1000000D03*%AB*%D20*%LR90*%X0Y0D03*M02*");
        Assert.Equal([new(-1, 3)], Assert.IsType<StrokeShape>(image.Objects[0].Shape).Path);
    }

    // --- attributes (chapter 5)

    [Fact]
    public void Attributes_come_from_commands_and_from_comments()
    {
        var image = Read(Millimetres + "G04 #@! TF.FileFunction,Copper,L2,Inr*%TF.FilePolarity,Positive*%%TA.AperFunction,SMDPad,CuDef*%%ADD10C,1*%%TD*%"
            + "D10*%TO.N,/SDA\\u002CX*%%TO.P,U1,3,VIN*%%TO.C,U1*%X0Y0D03*G04 #@! TD.P*X5000000D03*%TD*%X9000000D03*M02*");
        Assert.Equal(["Copper", "L2", "Inr"], image.FileAttributes[".FileFunction"]);
        var first = image.Objects[0].Attributes;
        Assert.Equal("/SDA,X", first.Net);
        Assert.Equal(new PinReference("U1", "3", "VIN"), Assert.Single(first.Pins));
        Assert.Equal("SMDPad,CuDef", first.Function);
        Assert.Empty(image.Objects[1].Attributes.Pins);
        Assert.Equal("U1", image.Objects[1].Attributes.Part);
        Assert.Null(image.Objects[2].Attributes.Net);
        Assert.Equal("SMDPad,CuDef", image.Objects[2].Attributes.Function);
    }

    [Fact]
    public void Strokes_of_different_nets_stay_apart()
    {
        var image = Read(Millimetres + Disc1 + "%TO.N,A*%X0Y0D02*X1000000D01*%TO.N,B*%X2000000D01*M02*");
        Assert.Equal(["A", "B"], image.Objects.Select(o => o.Attributes.Net));
    }

    // --- deprecated

    [Fact]
    public void Deprecated_image_commands_are_applied_and_told()
    {
        var image = Read(Millimetres + "%MIA1B0*%%SFA2B2*%%OFA1B0*%%ADD10C,0.5*%D10*X3000000Y1000000D03*M02*", out var warnings);
        var disc = Assert.IsType<StrokeShape>(image.Objects[0].Shape);
        Assert.Equal([new(-5, 2)], disc.Path);
        Assert.Equal(1, disc.Width);
        Assert.Contains(warnings, w => w.Contains("deprecated", StringComparison.Ordinal));
        var swapped = Read(Millimetres + "%ASAYBX*%" + Disc1 + "X3000000Y1000000D03*M02*");
        Assert.Equal([new(1, 3)], Assert.IsType<StrokeShape>(swapped.Objects[0].Shape).Path);
        Assert.True(Read(Millimetres + "%IPNEG*%" + Disc1 + "X0Y0D03*M02*").IsNegative);
    }

    [Fact]
    public void Unknown_commands_are_passed_over_and_told()
    {
        var image = Read(Millimetres + "%KOD*%%ZZfoo*%G99*Q12*" + Disc1 + "X0Y0D03*M02*", out var warnings);
        Assert.Single(image.Objects);
        Assert.Equal(4, warnings.Count);
    }

    [Fact]
    public void A_file_cut_off_is_told()
    {
        Read(Millimetres + Disc1 + "X0Y0D03*", out var warnings);
        Assert.Contains(warnings, w => w.Contains("M02", StringComparison.Ordinal));
    }

    // --- faults say where

    [Theory]
    [InlineData("%FSLAX46Y46*%\n%MOMM*%\nD10*\nX0Y0D03*M02*", "line 4, column 1", "D10")]
    [InlineData("%FSLAX46Y46*%\n%MOMM*%\n  X0Y0D03*M02*", "line 3, column 3", "selected")]
    [InlineData("%FSLAX46Y46*%\n%ADD10Q,1*%", "line 2, column 2", "Q")]
    [InlineData("%FSLAX46Y46*%\n%ADD10C,abc*%", "line 2", "abc")]
    [InlineData("%FSLAX4*%", "line 1", "FS")]
    [InlineData("%MOKM*%", "line 1", "MO")]
    [InlineData("%FSLAX46Y46*%%MOMM*%%ADD10C,1*%D10*X99999999999999D03*", "line 1", "9 m")]
    [InlineData("%FSLAX46Y46*%\n%MOMM*%\n%AMA*1,1,$1/0,0,0*%\n%ADD10A,1*%", "line 3", "$1/0")]
    [InlineData("%FSLAX46Y46*%\n%LPD", "line 2", "must end with '%'")]
    public void What_cannot_be_read_is_a_fault_with_line_and_column(string text, string place, string word)
    {
        var fault = Assert.Throws<UnreadableFileException>(() => Read(text));
        Assert.Contains(place, fault.Message, StringComparison.Ordinal);
        Assert.Contains(word, fault.Message, StringComparison.Ordinal);
    }
}
