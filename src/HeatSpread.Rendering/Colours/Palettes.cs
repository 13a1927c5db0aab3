namespace HeatSpread.Rendering;

/// <summary>The colour scales, by name.</summary>
/// <remarks>
/// Each is computed in OKLab: lightness runs one way (in the difference scale from the middle outwards), and equal steps of
/// temperature are equal steps of colour. The default also runs from blue to yellow all along, so that it reads the same without red
/// or green vision and in grey print.
/// </remarks>
public static class Palettes
{
    private static readonly Palette BlueYellow = Palette.Through(
        "blueYellow",
        OkLab.FromPolar(0.22, 0.115, 272),
        OkLab.FromPolar(0.37, 0.185, 295),
        OkLab.FromPolar(0.52, 0.195, 352),
        OkLab.FromPolar(0.68, 0.170, 45),
        OkLab.FromPolar(0.81, 0.150, 82),
        OkLab.FromPolar(0.955, 0.095, 108));

    private static readonly Palette Grey = Palette.Through("grey", new OkLab(0.20, 0, 0), new OkLab(0.96, 0, 0));

    private static readonly Palette Warm = Palette.Through(
        "warm",
        OkLab.FromPolar(0.20, 0.060, 350),
        OkLab.FromPolar(0.36, 0.125, 12),
        OkLab.FromPolar(0.52, 0.165, 32),
        OkLab.FromPolar(0.70, 0.165, 55),
        OkLab.FromPolar(0.85, 0.135, 85),
        OkLab.FromPolar(0.98, 0.035, 100));

    private static readonly Palette BlueRed = Palette.Diverging(
        "blueRed",
        [OkLab.FromPolar(0.955, 0.004, 250), OkLab.FromPolar(0.69, 0.115, 246), OkLab.FromPolar(0.36, 0.125, 260)],
        [OkLab.FromPolar(0.955, 0.004, 60), OkLab.FromPolar(0.69, 0.150, 44), OkLab.FromPolar(0.36, 0.130, 24)]);

    private static readonly Palette[] All = [BlueYellow, Grey, Warm, BlueRed];

    /// <summary>The default first.</summary>
    public static IReadOnlyList<string> Names { get; } = [.. All.Select(p => p.Name)];

    /// <summary>Name of the scale for temperatures: blue to yellow, safe for the colour-blind.</summary>
    public static string Default => BlueYellow.Name;

    /// <summary>Name of the scale for the camera views: dark to bright.</summary>
    public static string Camera => Warm.Name;

    /// <summary>Name of the scale for differences: blue below 0, red above.</summary>
    public static string Difference => BlueRed.Name;

    /// <summary>The colours of a scale from its lower end to its upper, evenly spaced to the eye.</summary>
    /// <param name="name">One of <see cref="Names"/>.</param>
    /// <param name="steps">How many, at least 2.</param>
    /// <returns>0xRRGGBB each.</returns>
    /// <exception cref="ArgumentException">No palette has that name.</exception>
    public static IReadOnlyList<int> Colours(string name, int steps)
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(steps, 2);
        var palette = Find(name);
        return [.. Enumerable.Range(0, steps).Select(step => (int)((uint)palette.At((double)step / (steps - 1)) & 0xFFFFFF))];
    }

    /// <exception cref="ArgumentException">No palette has that name.</exception>
    internal static Palette Find(string name) => Array.Find(All, p => p.Name == name)
        ?? throw new ArgumentException($"palette must be one of {string.Join(", ", Names)}; it is {name}", nameof(name));
}
