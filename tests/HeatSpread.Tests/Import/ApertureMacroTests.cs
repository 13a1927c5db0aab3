using HeatSpread.Import;
using HeatSpread.Import.Gerber;
using Xunit;
using static HeatSpread.Tests.Import.GerberText;

namespace HeatSpread.Tests.Import;

/// <summary>Aperture macros (Gerber Layer Format Specification, section 4.5), areas worked out by hand.</summary>
public sealed class ApertureMacroTests
{
    [Theory]
    [InlineData("1,1,2,0,0*", Math.PI)]
    [InlineData("20,1,0.5,0,0,4,0,0*", 2)]
    [InlineData("2,1,0.5,0,0,4,0,30*", 2)]
    [InlineData("21,1,3,2,0,0,17*", 6)]
    [InlineData("22,1,3,2,1,1,0*", 6)]
    [InlineData("4,1,3,0,0,4,0,4,3,0,0,0*", 6)]
    [InlineData("5,1,6,0,0,2,0*", 2.598076)]
    [InlineData("7,0,0,4,2,0,0*", 3 * Math.PI)]
    [InlineData("6,0,0,4,0.5,0.5,2,0,0,0*", Math.PI * (4 - 2.25 + 1 - 0.25))]
    public void Each_primitive_has_its_area(string body, double area) => AssertArea(area, $"%AMA*{body}%%ADD10A*%D10*X0Y0D03*");

    [Fact]
    public void A_thermal_is_a_ring_without_its_cross()
    {
        // A bar of width g takes ∫ 2·dx (√(4-x²) - √(1-x²)) from each of its two ends; two bars, nothing in common within the ring.
        double Half(double r, double x) => x / 2 * Math.Sqrt(r * r - x * x) + r * r / 2 * Math.Asin(x / r);
        double bar = 2 * 2 * (Half(2, 0.2) - Half(1, 0.2));
        AssertArea(3 * Math.PI - 2 * bar, "%AMA*7,0,0,4,2,0.4,0*%%ADD10A*%D10*X0Y0D03*");
        AssertArea(3 * Math.PI - 2 * bar, "%AMA*7,0,0,4,2,0.4,45*%%ADD10A*%D10*X0Y0D03*");
    }

    [Fact]
    public void Exposure_off_erases_inside_the_macro_only()
    {
        AssertArea(16 - 4, "%AMA*21,1,4,4,0,0,0*21,0,2,2,0,0,0*%%ADD10A*%D10*X0Y0D03*");
        AssertArea(100, "%ADD11R,10X10*%D11*X0Y0D03*%AMA*21,1,4,4,0,0,0*21,0,2,2,0,0,0*%%ADD10A*%D10*X0Y0D03*");
        AssertArea(16 - 4 + 1, "%AMA*21,1,4,4,0,0,0*21,0,2,2,0,0,0*21,1,1,1,0,0,0*%%ADD10A*%D10*X0Y0D03*");
    }

    [Fact]
    public void Rotation_is_about_the_origin_of_the_macro()
    {
        var image = Read(Millimetres + "%AMA*21,1,2,1,5,0,90*%%ADD10A*%D10*X0Y0D03*M02*");
        var box = Bounds(image);
        Assert.Equal((-0.5, 4, 0.5, 6), (Math.Round(box.MinX, 6), Math.Round(box.MinY, 6), Math.Round(box.MaxX, 6), Math.Round(box.MaxY, 6)));
    }

    [Fact]
    public void A_rounded_rectangle_is_one_polygon()
    {
        const string Macro = "%AMR*4,1,4,$2,$3,$4,$5,$6,$7,$8,$9,$2,$3,0*1,1,$1+$1,$2,$3*1,1,$1+$1,$4,$5*1,1,$1+$1,$6,$7*1,1,$1+$1,$8,$9*\n20,1,$1+$1,$2,$3,$4,$5,0*20,1,$1+$1,$4,$5,$6,$7,0*20,1,$1+$1,$6,$7,$8,$9,0*20,1,$1+$1,$8,$9,$2,$3,0*%";
        const string Flash = Macro + "%ADD10R,0.25X-1X0.5X-1X-0.5X1X-0.5X1X0.5X0*%D10*X0Y0D03*";
        AssertArea(2.5 * 1.5 - (4 - Math.PI) * 0.0625, Flash);
        Assert.Single(Assert.IsType<HeatSpread.Import.Shapes.AreaShape>(Read(Millimetres + Flash + "M02*").Objects[0].Shape).Polygons);
    }

    [Theory]
    [InlineData("1+2x3", 7)]
    [InlineData("(1+2)X3", 9)]
    [InlineData("8/4/2", 1)]
    [InlineData("-$1+5", 3)]
    [InlineData("2--1", 3)]
    [InlineData("-(2-5)x2", 6)]
    [InlineData("$9", 0)]
    [InlineData("10-2-3", 5)]
    [InlineData(".5x$1", 1)]
    public void Expressions_follow_the_usual_precedence(string text, double value) =>
        Assert.Equal(value, MacroExpression.Evaluate(text, new Dictionary<int, double> { [1] = 2 }, 32));

    [Theory]
    [InlineData("")]
    [InlineData("1+")]
    [InlineData("(1")]
    [InlineData("1/0")]
    [InlineData("1e5")]
    [InlineData("$")]
    [InlineData("1 1 a")]
    public void What_is_no_expression_has_no_value(string text) => Assert.Null(MacroExpression.Evaluate(text, new Dictionary<int, double>(), 32));

    [Fact]
    public void Brackets_are_bounded() => Assert.Null(MacroExpression.Evaluate(new string('(', 100_000) + "1" + new string(')', 100_000), new Dictionary<int, double>(), 32));

    [Fact]
    public void Definitions_compute_and_missing_arguments_are_zero() => AssertArea(1.5 * 1.5, "%AMA*0 a comment, with $commas*$4=$1x0.75*21,1,$4,$4,$2,$3,0*%%ADD10A,2*%D10*X0Y0D03*");

    [Theory]
    [InlineData("9,1,2,3*")]
    [InlineData("20,1,0.5*")]
    [InlineData("4,1,1e9,0,0,0*")]
    [InlineData("4,1,300,0,0,1,1,0*")]
    [InlineData("5,1,2,0,0,2,0*")]
    [InlineData("7,0,0,2,4,0.1,0*")]
    [InlineData("21,1,x,1,0,0,0*")]
    public void A_broken_primitive_is_a_fault(string body) => Assert.Throws<UnreadableFileException>(() => Read(Millimetres + $"%AMA*{body}%%ADD10A*%M02*"));
}
