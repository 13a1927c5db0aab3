using HeatSpread.Rendering;
using SkiaSharp;
using Xunit;

namespace HeatSpread.Tests.Rendering;

public class PaletteTests
{
    private const int Samples = 33;

    public static TheoryData<string> Sequential => ["blueYellow", "grey", "warm"];

    public static TheoryData<string> Every => [.. Palettes.Names];

    [Fact]
    public void Oklab_gives_the_published_values()
    {
        // Ottosson 2020: white is (1, 0, 0); sRGB red is (0.6280, 0.2249, 0.1258)
        var (white, red) = (OkLab.FromSrgb(SKColors.White), OkLab.FromSrgb(SKColors.Red));
        Assert.Equal((1.0, 0.0, 0.0), (Math.Round(white.L, 4), Math.Abs(Math.Round(white.A, 4)), Math.Abs(Math.Round(white.B, 4))));
        Assert.Equal((0.6280, 0.2249, 0.1258), (Math.Round(red.L, 4), Math.Round(red.A, 4), Math.Round(red.B, 4)));
    }

    [Fact]
    public void Oklab_and_back_is_the_same_colour()
    {
        foreach (var colour in (SKColor[])[SKColors.Black, SKColors.White, SKColors.Teal, new(12, 200, 90), new(255, 0, 255)])
            Assert.Equal(colour, OkLab.FromSrgb(colour).ToSrgb());
    }

    [Theory]
    [MemberData(nameof(Sequential))]
    public void Lightness_rises_all_along(string name)
    {
        var lightness = Walk(name).Select(CielabLightness).ToArray();
        for (int i = 1; i < lightness.Length; i++) Assert.True(lightness[i] > lightness[i - 1], $"{name} at {i}: {lightness[i - 1]:0.0} then {lightness[i]:0.0}");
        Assert.True(lightness[^1] - lightness[0] > 65, $"{name} runs from {lightness[0]:0} to {lightness[^1]:0}");
    }

    [Theory]
    [MemberData(nameof(Every))]
    public void Steps_are_even_to_the_eye(string name)
    {
        var colours = Walk(name).Select(OkLab.FromSrgb).ToArray();
        var steps = Enumerable.Range(1, Samples - 1).Select(i => colours[i].DistanceTo(colours[i - 1])).ToArray();
        // rounding to 8 bits moves a colour by up to about 0.002
        Assert.InRange(steps.Max() / steps.Average(), 1, 1.3);
        Assert.InRange(steps.Min() / steps.Average(), 0.7, 1);
    }

    [Theory]
    [InlineData("blueYellow")]
    [InlineData("grey")]
    public void Without_red_or_green_vision_steps_stay_apart(string name)
    {
        foreach (bool withoutRed in (bool[])[true, false])
        {
            var seen = Walk(name).Where((_, i) => i % 4 == 0).Select(c => OkLab.FromSrgb(Dichromat(c, withoutRed))).ToArray();
            for (int i = 1; i < seen.Length; i++)
            {
                Assert.True(seen[i].L > seen[i - 1].L, $"{name}: lightness falls at {i}");
                Assert.True(seen[i].DistanceTo(seen[i - 1]) > 0.05, $"{name}: steps {i - 1} and {i} look alike");
            }
        }
    }

    [Fact]
    public void Difference_scale_is_symmetrical_in_lightness_and_light_in_the_middle()
    {
        var lightness = Walk("blueRed").Select(CielabLightness).ToArray();
        for (int i = 0; i < Samples / 2; i++)
        {
            Assert.InRange(lightness[i] - lightness[^(i + 1)], -6, 6);
            Assert.True(lightness[i + 1] > lightness[i]);
        }
        var middle = OkLab.FromSrgb(Palettes.Find("blueRed").At(0.5));
        Assert.InRange(middle.L, 0.94, 0.97);
        Assert.InRange(Math.Sqrt(middle.A * middle.A + middle.B * middle.B), 0, 0.01);
    }

    [Theory]
    [MemberData(nameof(Every))]
    public void Lines_show_on_every_colour(string name)
    {
        var palette = Palettes.Find(name);
        for (int i = 0; i < Palette.Steps; i += 16)
        {
            Assert.True(Contrast(palette.Colours[i], palette.Inks[i]) > 1.9, $"{name} at {i}");
            Assert.True(Contrast(palette.Colours[i], palette.ContrastAt(i / (Palette.Steps - 1.0))) > 3, $"text on {name} at {i}"); // WCAG 2.2, 1.4.11
        }
    }

    [Fact]
    public void Unknown_name_is_refused_with_the_names() =>
        Assert.Contains("blueYellow, grey, warm, blueRed", Assert.Throws<ArgumentException>(() => Palettes.Find("green")).Message, StringComparison.Ordinal);

    private static IEnumerable<SKColor> Walk(string name)
    {
        var palette = Palettes.Find(name);
        return Enumerable.Range(0, Samples).Select(i => palette.At(i / (Samples - 1.0)));
    }

    /// <summary>Luminance Y of sRGB (IEC 61966-2-1).</summary>
    private static double Luminance(SKColor c) => 0.2126 * OkLab.Linear(c.Red) + 0.7152 * OkLab.Linear(c.Green) + 0.0722 * OkLab.Linear(c.Blue);

    /// <summary>L* of CIELAB (ISO/CIE 11664-4): another measure than the one that the palettes are made with.</summary>
    private static double CielabLightness(SKColor c) => Luminance(c) is var y && y > 216.0 / 24389 ? 116 * Math.Cbrt(y) - 16 : 24389.0 / 27 * y;

    /// <summary>Contrast ratio of WCAG 2.2.</summary>
    private static double Contrast(SKColor a, SKColor b)
    {
        double p = Luminance(a) + 0.05, q = Luminance(b) + 0.05;
        return Math.Max(p, q) / Math.Min(p, q);
    }

    /// <summary>
    /// What somebody without red (or green) cones sees. Source: F. Viénot, H. Brettel, J. D. Mollon, "Digital video colourmaps for checking
    /// the legibility of displays by dichromats", 1999; the two matrices multiplied out to linear RGB.
    /// </summary>
    private static SKColor Dichromat(SKColor c, bool withoutRed)
    {
        double r = OkLab.Linear(c.Red), g = OkLab.Linear(c.Green), b = OkLab.Linear(c.Blue);
        var (redGreen, blue) = withoutRed
            ? (0.11238 * r + 0.88762 * g, 0.00401 * r - 0.00401 * g + b)
            : (0.29275 * r + 0.70725 * g, -0.02234 * r + 0.02234 * g + b);
        return new SKColor(OkLab.Gamma(redGreen), OkLab.Gamma(redGreen), OkLab.Gamma(blue));
    }
}
