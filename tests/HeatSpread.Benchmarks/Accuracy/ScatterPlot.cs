using System.Globalization;
using System.Text;
using HeatSpread.Verification.Support;

namespace HeatSpread.Benchmarks;

/// <summary>Bound over error, both on logarithmic axes, as an SVG picture.</summary>
internal static class ScatterPlot
{
    private const double Left = 80, Top = 40, Side = 560, LeastKelvin = 1e-3, Decades = 5;

    public static string Of(IReadOnlyList<GridErrorSample> samples, IReadOnlyList<GridErrorSample> worst)
    {
        var svg = new StringBuilder();
        void Add(FormattableString line) => svg.AppendLine(line.ToString(CultureInfo.InvariantCulture));
        Add($"""<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {Left + Side + 20} {Top + Side + 90}" font-family="sans-serif" font-size="13">""");
        Add($"""<rect width="100%" height="100%" fill="white"/>""");
        Add($"""<text x="{Left}" y="24" font-size="15">Stated bound against grid error: {samples.Count} temperatures of {worst.Count} random boards</text>""");
        for (int decade = 0; decade <= Decades; decade++)
        {
            double kelvin = LeastKelvin * Math.Pow(10, decade), x = X(kelvin), y = Y(kelvin);
            Add($"""<path d="M{x:0.0} {Top}V{Top + Side}M{Left} {y:0.0}H{Left + Side}" stroke="#ddd"/>""");
            Add($"""<text x="{x:0.0}" y="{Top + Side + 18}" text-anchor="middle">{kelvin:0.###}</text><text x="{Left - 8}" y="{y + 4:0.0}" text-anchor="end">{kelvin:0.###}</text>""");
        }
        Add($"""<clipPath id="frame"><rect x="{Left}" y="{Top}" width="{Side}" height="{Side}"/></clipPath><g clip-path="url(#frame)">""");
        foreach (double factor in (ReadOnlySpan<double>)[1, 5])
        {
            Add($"""<path d="M{X(LeastKelvin):0.0} {Y(factor * LeastKelvin):0.0}L{X(1e3):0.0} {Y(factor * 1e3):0.0}" stroke="#444" stroke-dasharray="{(factor > 1 ? "5 4" : "none")}"/>""");
        }
        foreach (var sample in samples) Add($"""<circle cx="{X(sample.ErrorKelvin):0.0}" cy="{Y(sample.BoundKelvin):0.0}" r="2.4" fill="{(sample.Ratio >= 1 ? "#2b6cb0" : "#c53030")}" fill-opacity="0.55"/>""");
        foreach (var sample in worst) Add($"""<circle cx="{X(sample.ErrorKelvin):0.0}" cy="{Y(sample.BoundKelvin):0.0}" r="4" fill="none" stroke="#222"/>""");
        Add($"""</g><text x="{X(30):0.0}" y="{Y(22):0.0}">bound = error</text><text x="{X(0.9):0.0}" y="{Y(6.5):0.0}" text-anchor="end">5 times</text>""");
        Add($"""<text x="{Left + Side / 2}" y="{Top + Side + 42}" text-anchor="middle">error against the grid of a quarter of the pitch, K</text>""");
        Add($"""<text transform="translate(24 {Top + Side / 2}) rotate(-90)" text-anchor="middle">stated bound, K</text>""");
        double legend = Top + Side + 68;
        Add($"""<circle cx="{Left}" cy="{legend - 4}" r="3" fill="#2b6cb0"/><text x="{Left + 10}" y="{legend}">bound holds</text>""");
        Add($"""<circle cx="{Left + 130}" cy="{legend - 4}" r="3" fill="#c53030"/><text x="{Left + 140}" y="{legend}">it does not</text>""");
        Add($"""<circle cx="{Left + 260}" cy="{legend - 4}" r="4" fill="none" stroke="#222"/><text x="{Left + 270}" y="{legend}">greatest bound against greatest error of a board</text>""");
        svg.AppendLine("</svg>");
        return svg.ToString();
    }

    private static double X(double kelvin) => Left + Share(kelvin) * Side;

    private static double Y(double kelvin) => Top + (1 - Share(kelvin)) * Side;

    private static double Share(double kelvin) => Math.Log10(Math.Max(kelvin, LeastKelvin) / LeastKelvin) / Decades;
}
