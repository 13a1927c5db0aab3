using SkiaSharp;

namespace HeatSpread.Rendering;

/// <summary>
/// A colour in the OKLab space, in which equal distances look about equally different. Source: B. Ottosson, "A perceptual color
/// space for image processing", 2020.
/// </summary>
/// <param name="L">Lightness, 0 (black) to 1 (white).</param>
/// <param name="A">Green to red.</param>
/// <param name="B">Blue to yellow.</param>
internal readonly record struct OkLab(double L, double A, double B)
{
    /// <param name="lightness">0 to 1.</param>
    /// <param name="chroma">At least 0; sRGB ends between 0.1 and 0.32.</param>
    /// <param name="hue">Degrees.</param>
    public static OkLab FromPolar(double lightness, double chroma, double hue)
    {
        var (sin, cos) = Math.SinCos(hue * Math.PI / 180);
        return new OkLab(lightness, chroma * cos, chroma * sin);
    }

    public static OkLab FromSrgb(SKColor colour)
    {
        double r = Linear(colour.Red), g = Linear(colour.Green), b = Linear(colour.Blue);
        double l = Math.Cbrt(0.4122214708 * r + 0.5363325363 * g + 0.0514459929 * b);
        double m = Math.Cbrt(0.2119034982 * r + 0.6806995451 * g + 0.1073969566 * b);
        double s = Math.Cbrt(0.0883024619 * r + 0.2817188376 * g + 0.6299787005 * b);
        return new OkLab(
            0.2104542553 * l + 0.7936177850 * m - 0.0040720468 * s,
            1.9779984951 * l - 2.4285922050 * m + 0.4505937099 * s,
            0.0259040371 * l + 0.7827717662 * m - 0.8086757660 * s);
    }

    public double DistanceTo(OkLab other) => Math.Sqrt(Square(L - other.L) + Square(A - other.A) + Square(B - other.B));

    public OkLab Towards(OkLab other, double share) => new(L + (other.L - L) * share, A + (other.A - A) * share, B + (other.B - B) * share);

    /// <summary>The same lightness and hue, with chroma giving way where sRGB cannot show it.</summary>
    public OkLab InGamut()
    {
        if (IsDisplayable(LinearSrgb(1))) return this;
        double low = 0, high = 1;
        for (int i = 0; i < 24; i++)
        {
            double middle = (low + high) / 2;
            if (IsDisplayable(LinearSrgb(middle))) low = middle;
            else high = middle;
        }
        return new OkLab(L, A * low, B * low);
    }

    /// <summary>The nearest sRGB colour of this lightness and hue.</summary>
    public SKColor ToSrgb()
    {
        var (r, g, b) = InGamut().LinearSrgb(1);
        return new SKColor(Gamma(r), Gamma(g), Gamma(b));
    }

    private static bool IsDisplayable((double R, double G, double B) c)
    {
        const double slack = 1e-6;
        return Math.Min(c.R, Math.Min(c.G, c.B)) >= -slack && Math.Max(c.R, Math.Max(c.G, c.B)) <= 1 + slack;
    }

    private (double R, double G, double B) LinearSrgb(double chromaShare)
    {
        double a = A * chromaShare, b = B * chromaShare;
        double l = Cube(L + 0.3963377774 * a + 0.2158037573 * b);
        double m = Cube(L - 0.1055613458 * a - 0.0638541728 * b);
        double s = Cube(L - 0.0894841775 * a - 1.2914855480 * b);
        return (
            4.0767416621 * l - 3.3077115913 * m + 0.2309699292 * s,
            -1.2684380046 * l + 2.6097574011 * m - 0.3413193965 * s,
            -0.0041960863 * l - 0.7034186147 * m + 1.7076147010 * s);
    }

    /// <summary>The sRGB transfer curve (IEC 61966-2-1), 8 bits to linear light.</summary>
    internal static double Linear(byte value)
    {
        double v = value / 255.0;
        return v <= 0.04045 ? v / 12.92 : Math.Pow((v + 0.055) / 1.055, 2.4);
    }

    /// <summary>The sRGB transfer curve (IEC 61966-2-1), linear light to 8 bits.</summary>
    internal static byte Gamma(double linear)
    {
        double v = Math.Clamp(linear, 0, 1);
        return (byte)Math.Round(255 * (v <= 0.0031308 ? 12.92 * v : 1.055 * Math.Pow(v, 1 / 2.4) - 0.055));
    }

    private static double Square(double x) => x * x;

    private static double Cube(double x) => x * x * x;
}
