using HeatSpread.Rendering;
using SkiaSharp;
using Xunit;

namespace HeatSpread.Tests.Rendering;

public class ScaleTests
{
    private static readonly Palette Grey = Palettes.Find("grey");

    private static readonly ValueRange Range = new(40, 90);

    [Theory]
    [InlineData(null, null, 40, 90)]
    [InlineData(20.0, null, 20, 90)]
    [InlineData(null, 120.0, 40, 120)]
    [InlineData(50.0, 60.0, 50, 60)]
    [InlineData(95.0, null, 95, 96)]
    [InlineData(null, 30.0, 29, 30)]
    public void Ends_are_the_asked_ones_or_those_of_the_values(double? min, double? max, double low, double high)
    {
        var scale = ColourScale.For(Range, min, max, Grey);
        Assert.Equal((low, high), (scale.Min, scale.Max));
    }

    [Theory]
    [InlineData(60.0, 60.0)]
    [InlineData(70.0, 60.0)]
    [InlineData(double.NaN, null)]
    [InlineData(null, double.PositiveInfinity)]
    public void Ends_that_make_no_scale_are_refused(double? min, double? max) =>
        Assert.Throws<ArgumentException>(() => ColourScale.For(Range, min, max, Grey));

    [Fact]
    public void Board_of_one_temperature_gets_a_scale_about_it()
    {
        var scale = ColourScale.For(new ValueRange(25, 25.0001), null, null, Grey);
        Assert.InRange(scale.Fraction(25), 0.49, 0.51);
    }

    [Fact]
    public void Colour_of_a_temperature_is_the_palettes_at_its_share_of_the_scale()
    {
        var scale = ColourScale.For(Range, 0, 100, Grey);
        Assert.Equal(0.25, scale.Fraction(25), 12);
        Assert.Equal((0.0, 1.0), (scale.Fraction(-5), scale.Fraction(140)));
        Assert.Equal(Grey.Colours[0], Grey.At(scale.Fraction(-5)));
        Assert.Equal(Grey.Colours[Palette.Steps - 1], Grey.At(scale.Fraction(140)));
    }

    [Theory]
    [InlineData(-3.0, 17.0, null, null, 17)]
    [InlineData(-30.0, 17.0, null, null, 30)]
    [InlineData(-3.0, 17.0, null, 5.0, 5)]
    [InlineData(-3.0, 17.0, -8.0, 5.0, 8)]
    [InlineData(0.0, 0.0, null, null, 0.01)]
    public void Signed_scale_has_0_in_the_middle(double low, double high, double? min, double? max, double reach)
    {
        var scale = ColourScale.Signed(new ValueRange(low, high), min, max, Grey);
        Assert.Equal((-reach, reach), (scale.Min, scale.Max));
    }

    [Theory]
    [InlineData(43.2, 89, 5, 10, "50,60,70,80", 0)]
    [InlineData(0, 1, 5, 0.2, "0,0.2,0.4,0.6,0.8,1", 1)]
    [InlineData(-15.1, 15.1, 8, 5, "-15,-10,-5,0,5,10,15", 0)]
    [InlineData(20, 120, 4, 50, "50,100", 0)]
    [InlineData(25.001, 25.009, 4, 0.002, "25.002,25.004,25.006,25.008", 3)]
    public void Ticks_are_round(double min, double max, int atMost, double step, string values, int decimals)
    {
        var ticks = Ticks.Between(min, max, atMost);
        Assert.Equal(step, ticks.Step, 12);
        Assert.Equal(decimals, ticks.Decimals);
        Assert.Equal(values.Split(',').Select(v => Math.Round(double.Parse(v, System.Globalization.CultureInfo.InvariantCulture), 9)), ticks.Values.Select(v => Math.Round(v, 9)));
    }

    [Theory]
    [InlineData(83.24, 1, "83.2")]
    [InlineData(-3.06, 1, "−3.1")]
    [InlineData(-0.04, 1, "0.0")]
    [InlineData(1200, 0, "1200")]
    public void Numbers_carry_a_true_minus_and_zero_no_sign(double value, int decimals, string text) => Assert.Equal(text, Lettering.Number(value, decimals));

    [Theory]
    [InlineData(43.2, 89, "43.2 – 89.0 °C")]
    [InlineData(25.01, 25.03, "25.010 – 25.030 °C")]
    [InlineData(25, 25, "25.0 – 25.0 °C")]
    public void Range_has_the_digits_that_tell_its_ends_apart(double min, double max, string text) => Assert.Equal(text, Legend.RangeText(new ValueRange(min, max), "°C"));

    [Theory]
    [InlineData(12e3, 160, 10)]
    [InlineData(12e3, 70, 5)]
    [InlineData(500, 160, 200)]
    [InlineData(200e3, 160, 0.5)]
    public void Scale_bar_is_a_round_length_that_fits(double pixelsPerMeter, double atMost, double millimetres) =>
        Assert.Equal(millimetres, ScaleBar.Length(pixelsPerMeter, atMost), 9);

    [Fact]
    public void Bundled_font_has_every_sign()
    {
        using var font = Lettering.Font(12);
        Assert.True(font.ContainsGlyphs(Lettering.SpecialSigns));
        Assert.True(font.MeasureText("°C") > 10);
    }

    [Fact]
    public void Long_text_is_shortened_to_fit()
    {
        using var font = Lettering.Font(12);
        string fitted = Lettering.Fit("a board with a very long name", font, 80);
        Assert.EndsWith("…", fitted, StringComparison.Ordinal);
        Assert.InRange(font.MeasureText(fitted), 40, 80);
        Assert.Equal("", Lettering.Fit("long", font, 2));
    }

    [Fact]
    public void Labels_do_not_cover_each_other()
    {
        using var builder = new SKPathBuilder();
        builder.AddRect(new SKRect(0, 0, 200, 100));
        using var board = builder.Detach();
        var space = new LabelSpace(new SKRect(0, 0, 200, 100), board);
        var box = new SKRect(90, 45, 110, 55);
        var placed = new List<SKRect>();
        while (space.Place(new SKSize(15, 8), LabelSpace.Around(box, new SKSize(15, 8), 2)) is { } label) placed.Add(label);
        Assert.Equal(8, placed.Count);
        Assert.All(placed, a => Assert.DoesNotContain(placed, b => a != b && a.IntersectsWith(b)));
    }
}
