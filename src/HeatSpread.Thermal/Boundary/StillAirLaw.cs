using HeatSpread.Boards;

namespace HeatSpread.Thermal.Boundary;

/// <summary>
/// Natural convection from an isothermal plate. Vertical: Churchill and Chu, Int. J. Heat Mass Transfer 18 (1975) 1323, all Rayleigh numbers to
/// 1e12, over the height. Horizontal, over area by perimeter: heated side up 0.54 Ra^(1/4) (McAdams, Heat Transmission, 1954; Lloyd and Moran, J. Heat Transfer 96 (1974) 443) and
/// 0.15 Ra^(1/3) beyond their crossing at Ra = 4.7e6, to 1e11; heated side down 0.27 Ra^(1/4) (McAdams), to 1e10. Small plates have thick boundary layers, which conduct more than these
/// powers say: there the laminar formulas of Raithby and Hollands (Handbook of Heat Transfer Fundamentals, 1985, chapter 6; from memory) follow, from where they are the greater: up below Ra = 1.2e3, to
/// 1; down below 2e5, to 1e3. So the film has no jump.
/// </summary>
internal sealed class StillAirLaw(StillAirSurface surface, AirState air, Region outline) : AirLaw(air, surface.Emissivity, surface.SurroundingsCelsius)
{
    /// <summary>Raithby and Hollands's coefficient of the laminar layer in air.</summary>
    private const double LaminarInAir = 0.515;

    private readonly double _length = surface.Orientation == AirOrientation.Vertical ? outline.Bounds.Height : AreaOverPerimeter(outline);

    public override SurfaceRegime Regime(double meanCelsius)
    {
        var properties = Air.Film(meanCelsius);
        double rayleigh = Air.Grashof(meanCelsius, _length) * properties.Prandtl;
        var (name, least, most) = surface.Orientation == AirOrientation.Vertical ? ("Churchill and Chu 1975, vertical plate", 0, 1e12)
            : HotSideUp(meanCelsius - Air.AmbientCelsius) ? ("McAdams 1954, Lloyd and Moran 1974, Raithby and Hollands 1985, heated side up", 1, 1e11)
            : ("McAdams 1954, Raithby and Hollands 1985, heated side down", 1e3, 1e10);
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
            : HotSideUp(celsius - Air.AmbientCelsius) ? Upward(rayleigh) : Downward(rayleigh, properties.Prandtl);
        return nusselt * properties.Conductivity / _length;
    }

    internal static double Vertical(double rayleigh, double prandtl)
    {
        double root = 0.825 + 0.387 * Math.Pow(rayleigh, 1.0 / 6) / Math.Pow(1 + Math.Pow(0.492 / prandtl, 9.0 / 16), 8.0 / 27);
        return root * root;
    }

    internal static double Upward(double rayleigh)
    {
        double root = Math.Sqrt(Math.Sqrt(rayleigh));
        return Math.Max(Math.Max(0.54 * root, 0.15 * Math.Cbrt(rayleigh)), WithConduction(0.835 * LaminarInAir * root, 1.4));
    }

    internal static double Downward(double rayleigh, double prandtl)
    {
        double thin = 0.527 * Math.Pow(rayleigh, 0.2) / Math.Pow(1 + Math.Pow(1.9 / prandtl, 0.9), 2 / 9.0);
        return Math.Max(0.27 * Math.Sqrt(Math.Sqrt(rayleigh)), WithConduction(thin, 2.5));
    }

    /// <summary>A cold plate that faces up is to its air what a hot one that faces down is.</summary>
    private bool HotSideUp(double rise) => surface.Orientation == AirOrientation.FaceUp == rise >= 0;

    /// <summary>Raithby and Hollands: the boundary layer is as thick as its curvature lets it be, Nu = c / ln(1 + c / Nu_thin).</summary>
    private static double WithConduction(double thinLayer, double curvature) => thinLayer <= 1e-12 ? thinLayer : curvature / Math.Log(1 + curvature / thinLayer);

    /// <summary>Of the outer edge: holes in a board change neither the plume nor its scale.</summary>
    private static double AreaOverPerimeter(Region outline)
    {
        double area = outline.Polygons.Sum(polygon => Math.Abs(Polygon.SignedArea(polygon.Outer)));
        double perimeter = outline.Polygons.Sum(polygon => polygon.Outer.Index().Sum(p => Length(p.Item, polygon.Outer[(p.Index + 1) % polygon.Outer.Count])));
        return area / perimeter;
    }

    private static double Length(Point a, Point b) => double.Hypot(b.X - a.X, b.Y - a.Y);
}
