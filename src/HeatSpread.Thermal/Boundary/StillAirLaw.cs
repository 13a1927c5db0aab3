using HeatSpread.Boards;

namespace HeatSpread.Thermal.Boundary;

/// <summary>
/// Natural convection from an isothermal plate. Vertical: Churchill and Chu, Int. J. Heat Mass Transfer 18 (1975) 1323, all Rayleigh numbers to
/// 1e12, over the height. Horizontal, over area by perimeter: heated side up 0.54 Ra^(1/4) (McAdams, Heat Transmission, 1954; from Ra = 1e4, Lloyd and Moran, J. Heat
/// Transfer 96 (1974) 443) and 0.15 Ra^(1/3) beyond their crossing at Ra = 4.7e6, to 1e11; heated side down 0.27 Ra^(1/4) (McAdams), 1e5 to 1e10. Below Ra = 1e4 the
/// conduction of a thick boundary layer comes in (Raithby and Hollands, Handbook of Heat Transfer Fundamentals, 1985), in full below 1e2.
/// </summary>
internal sealed class StillAirLaw(StillAirSurface surface, AirState air, Region outline) : AirLaw(air, surface.Emissivity, surface.SurroundingsCelsius)
{
    private const double ThinLayerFrom = 1e4, ThinLayerDecades = 2;

    private readonly double _length = surface.Orientation == AirOrientation.Vertical ? outline.Bounds.Height : AreaOverPerimeter(outline);

    public override SurfaceRegime Regime(double meanCelsius)
    {
        var properties = Air.Film(meanCelsius);
        double rayleigh = Air.Grashof(meanCelsius, _length) * properties.Prandtl;
        var (name, least, most) = surface.Orientation == AirOrientation.Vertical ? ("Churchill and Chu 1975, vertical plate", 0, 1e12)
            : HotSideUp(meanCelsius - Air.AmbientCelsius) ? ("McAdams 1954, Lloyd and Moran 1974, heated side up", 1e4, 1e11)
            : ("McAdams 1954, heated side down", 1e5, 1e10);
        string[] outside = rayleigh > 0 && (rayleigh < least || rayleigh > most)
            ? [Say($"The Rayleigh number, {rayleigh:g3}, lies outside {least:g1} to {most:g1}, the range of {name}.")] : [];
        return new SurfaceRegime
        {
            Correlation = name,
            LengthScale = _length,
            Rayleigh = rayleigh,
            Prandtl = properties.Prandtl,
            AirConductivity = properties.Conductivity,
            Warnings = outside,
        };
    }

    internal override double Convection(double celsius, Point at)
    {
        var properties = Air.Film(celsius);
        double rayleigh = Air.Grashof(celsius, _length) * properties.Prandtl;
        double nusselt = surface.Orientation == AirOrientation.Vertical ? Vertical(rayleigh, properties.Prandtl)
            : HotSideUp(celsius - Air.AmbientCelsius) ? Upward(rayleigh) : Downward(rayleigh);
        return nusselt * properties.Conductivity / _length;
    }

    internal static double Vertical(double rayleigh, double prandtl)
    {
        double root = 0.825 + 0.387 * Math.Pow(rayleigh, 1.0 / 6) / Math.Pow(1 + Math.Pow(0.492 / prandtl, 9.0 / 16), 8.0 / 27);
        return root * root;
    }

    /// <summary>The greater of the laminar and the turbulent formula, so that the film has no jump where one follows the other.</summary>
    internal static double Upward(double rayleigh) => WithConduction(rayleigh, Math.Max(0.54 * Math.Sqrt(Math.Sqrt(rayleigh)), 0.15 * Math.Cbrt(rayleigh)));

    internal static double Downward(double rayleigh) => WithConduction(rayleigh, 0.27 * Math.Sqrt(Math.Sqrt(rayleigh)));

    /// <summary>A cold plate that faces up is to its air what a hot one that faces down is.</summary>
    private bool HotSideUp(double rise) => surface.Orientation == AirOrientation.FaceUp == rise >= 0;

    /// <summary>Raithby and Hollands's correction, Nu = 1.4 / ln(1 + 1.4 / Nu_thin), let in over two decades below the range of the formulas.</summary>
    private static double WithConduction(double rayleigh, double thinLayer)
    {
        if (rayleigh >= ThinLayerFrom || thinLayer <= 1e-12) return thinLayer;
        double depth = Math.Min(1, (Math.Log10(ThinLayerFrom) - Math.Log10(rayleigh)) / ThinLayerDecades), weight = depth * depth * (3 - 2 * depth);
        return thinLayer + weight * (1.4 / Math.Log(1 + 1.4 / thinLayer) - thinLayer);
    }

    /// <summary>Of the outer edge: holes in a board change neither the plume nor its scale.</summary>
    private static double AreaOverPerimeter(Region outline)
    {
        double area = outline.Polygons.Sum(polygon => Math.Abs(Polygon.SignedArea(polygon.Outer)));
        double perimeter = outline.Polygons.Sum(polygon => polygon.Outer.Index().Sum(p => Length(p.Item, polygon.Outer[(p.Index + 1) % polygon.Outer.Count])));
        return area / perimeter;
    }

    private static double Length(Point a, Point b) => double.Hypot(b.X - a.X, b.Y - a.Y);
}
