using SkiaSharp;

namespace HeatSpread.Rendering;

/// <summary>
/// A colour scale: <see cref="Steps"/> colours from 0 to 1, evenly spaced to the eye. Immutable.
/// </summary>
internal sealed class Palette
{
    /// <summary>Enough that neighbouring colours differ by less than a step of 8-bit sRGB.</summary>
    public const int Steps = 1024;

    private readonly SKColor[] _colours;
    private readonly SKColor[] _inks;
    private readonly float[] _lightness;

    private Palette(string name, OkLab[] even)
    {
        Name = name;
        _colours = [.. even.Select(c => c.ToSrgb())];
        _lightness = [.. _colours.Select(c => (float)OkLab.FromSrgb(c).L)];
        _inks = [.. _colours.Select(InkOn)];
    }

    public string Name { get; }

    /// <summary>0xAARRGGBB, opaque, which is BGRA in memory.</summary>
    public ReadOnlySpan<SKColor> Colours => _colours;

    /// <summary>A tone of the same hue that shows as a line on the colour of the same index.</summary>
    public ReadOnlySpan<SKColor> Inks => _inks;

    public static int IndexOf(double fraction) => (int)(Math.Clamp(fraction, 0, 1) * (Steps - 1) + 0.5);

    public SKColor At(double fraction) => _colours[IndexOf(fraction)];

    /// <summary>OKLab lightness.</summary>
    public double LightnessAt(double fraction) => _lightness[IndexOf(fraction)];

    /// <summary>Text and strong lines over the colour at <paramref name="fraction"/>.</summary>
    public SKColor ContrastAt(double fraction) => LightnessAt(fraction) < 0.63 ? SKColors.White : new SKColor(0x12, 0x16, 0x1C);

    /// <summary>Draws a smooth curve through the stops and walks it in steps of equal colour difference.</summary>
    /// <param name="name">Of the palette.</param>
    /// <param name="stops">At least two, lightness rising or falling all along.</param>
    public static Palette Through(string name, params ReadOnlySpan<OkLab> stops) => new(name, EvenSteps(stops, Steps));

    /// <summary>Two arms from a light middle; both have the same lightness at the same distance from it.</summary>
    public static Palette Diverging(string name, ReadOnlySpan<OkLab> lowArm, ReadOnlySpan<OkLab> highArm)
    {
        var low = EvenSteps(lowArm, Steps / 2);
        var high = EvenSteps(highArm, Steps / 2);
        Array.Reverse(low);
        return new Palette(name, [.. low, .. high]);
    }

    private static OkLab[] EvenSteps(ReadOnlySpan<OkLab> stops, int count)
    {
        const int fine = 4096;
        var curve = new OkLab[fine + 1];
        var length = new double[fine + 1];
        for (int i = 0; i <= fine; i++)
        {
            // what the screen shows counts, so the gamut's limit is applied before the lengths are taken
            curve[i] = Spline(stops, (double)i / fine * (stops.Length - 1)).InGamut();
            if (i > 0) length[i] = length[i - 1] + curve[i].DistanceTo(curve[i - 1]);
        }
        var even = new OkLab[count];
        for (int step = 0, i = 0; step < count; step++)
        {
            double target = length[fine] * step / (count - 1);
            while (i < fine - 1 && length[i + 1] < target) i++;
            even[step] = curve[i].Towards(curve[i + 1], (target - length[i]) / (length[i + 1] - length[i]));
        }
        return even;
    }

    /// <summary>Catmull–Rom through the stops, ends doubled by reflection.</summary>
    private static OkLab Spline(ReadOnlySpan<OkLab> stops, double at)
    {
        int i = Math.Min((int)at, stops.Length - 2);
        double t = at - i;
        OkLab p1 = stops[i], p2 = stops[i + 1];
        OkLab p0 = i > 0 ? stops[i - 1] : p2.Towards(p1, 2), p3 = i + 2 < stops.Length ? stops[i + 2] : p1.Towards(p2, 2);
        double Mix(double a, double b, double c, double d) =>
            b + 0.5 * t * (c - a + t * (2 * a - 5 * b + 4 * c - d + t * (3 * (b - c) + d - a)));
        return new OkLab(Mix(p0.L, p1.L, p2.L, p3.L), Mix(p0.A, p1.A, p2.A, p3.A), Mix(p0.B, p1.B, p2.B, p3.B));
    }

    private static SKColor InkOn(SKColor colour)
    {
        var c = OkLab.FromSrgb(colour);
        return c.L < 0.6
            ? new OkLab(Math.Min(1, c.L + 0.34), c.A * 0.8, c.B * 0.8).ToSrgb()
            : new OkLab(c.L - 0.34, c.A * 0.8, c.B * 0.8).ToSrgb();
    }
}
