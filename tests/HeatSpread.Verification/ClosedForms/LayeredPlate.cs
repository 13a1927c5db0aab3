using HeatSpread.Boards;

namespace HeatSpread.Verification.ClosedForms;

/// <param name="Thickness">m.</param>
/// <param name="Conductivity">W/(m·K).</param>
internal readonly record struct PlateLayer(double Thickness, Conductivity Conductivity);

/// <summary>
/// Exact conduction in a rectangular plate of layers with adiabatic rim, films on both faces and a rectangular even source on the top
/// face: the cosine series of H. S. Carslaw, J. C. Jaeger, Conduction of Heat in Solids, 2nd ed. 1959, ch. V, with the layers' admittance by the
/// usual transmission line recursion. For a centred source, two isotropic layers and no top film it is the solution of
/// <see cref="CompoundFluxChannel"/>; a check holds the two together.
/// </summary>
/// <param name="length">Along x, m.</param>
/// <param name="width">Along y, m.</param>
/// <param name="layers">Top to bottom.</param>
/// <param name="topFilm">W/(m²·K).</param>
/// <param name="bottomFilm">W/(m²·K).</param>
internal sealed class LayeredPlate(double length, double width, IReadOnlyList<PlateLayer> layers, double topFilm, double bottomFilm)
{
    private const int Terms = 500;

    /// <summary>Mean rise over <paramref name="read"/> on the top face (a box of no size is a point), K.</summary>
    public double MeanRise(Box source, double watts, Box read)
    {
        double sum = 0;
        for (int m = 0; m < Terms; m++)
        {
            double x = Weight(m) * Mean(m, length, source.MinX, source.MaxX) * Mean(m, length, read.MinX, read.MaxX);
            if (x == 0) continue;
            for (int n = 0; n < Terms; n++)
            {
                double y = Weight(n) * Mean(n, width, source.MinY, source.MaxY) * Mean(n, width, read.MinY, read.MaxY);
                if (y != 0) sum += x * y / Admittance(Math.PI * double.Hypot(m / length, n / width));
            }
        }
        return watts / (length * width) * sum;
    }

    /// <summary>W/(m²·K) seen by heat that enters the top face as a cosine of wave number <paramref name="zeta"/>, 1/m.</summary>
    public double Admittance(double zeta) => topFilm + Downward(layers, bottomFilm, zeta);

    /// <summary>Admittance of layers above a face of admittance <paramref name="below"/>, without any top film.</summary>
    public static double Downward(IReadOnlyList<PlateLayer> layers, double below, double zeta)
    {
        double admittance = below;
        foreach (var layer in layers.Reverse())
        {
            var (inPlane, through) = layer.Conductivity;
            if (zeta == 0)
            {
                admittance = admittance == 0 ? 0 : 1 / (1 / admittance + layer.Thickness / through);
                continue;
            }
            double own = Math.Sqrt(inPlane * through) * zeta, tanh = Math.Tanh(zeta * Math.Sqrt(inPlane / through) * layer.Thickness);
            admittance = own * (admittance + own * tanh) / (own + admittance * tanh);
        }
        return admittance;
    }

    private static double Weight(int order) => order == 0 ? 1 : 2;

    /// <summary>Mean of cos(mπx/length) from one place to another.</summary>
    private static double Mean(int order, double length, double from, double to)
    {
        double wave = order * Math.PI / length, half = wave * (to - from) / 2;
        return Math.Cos(wave * (from + to) / 2) * (half < 1e-12 ? 1 : Math.Sin(half) / half);
    }
}
