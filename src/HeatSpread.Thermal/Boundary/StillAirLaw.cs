using HeatSpread.Boards;

namespace HeatSpread.Thermal.Boundary;

/// <summary>
/// Natural convection from an isothermal plate, taken at the local surface temperature, and radiation. Vertical: Churchill and Chu, Int. J. Heat
/// Mass Transfer 18 (1975) 1323, all Rayleigh numbers to 1e12. Horizontal, heated side up: Lloyd and Moran, J. Heat Transfer 96 (1974) 443, with
/// McAdams, Heat Transmission (1954); heated side down: McAdams. Below the correlations' range the conduction limit of Raithby and Hollands
/// (Handbook of Heat Transfer Fundamentals, 1985) is blended in.
/// </summary>
internal sealed class StillAirLaw(StillAirSurface surface, double ambientCelsius, BoardGrid grid) : SurfaceLaw
{
    private const double Gravity = 9.80665;

    private readonly double _width = grid.Columns * grid.PitchX;
    private readonly double _height = grid.Rows * grid.PitchY;

    public override bool IsLinear => false;

    /// <summary>m: height of a vertical plate, area over perimeter of a level one.</summary>
    public double LengthScale => surface.Orientation == AirOrientation.Vertical ? _height : _width * _height / (2 * (_width + _height));

    public override SurfaceFlux At(double celsius, Point at)
    {
        const double step = 0.01;
        double below = Convection(celsius - step), above = Convection(celsius + step), rise = celsius - ambientCelsius;
        var radiation = Radiation.At(celsius, surface.SurroundingsCelsius, surface.Emissivity);
        // d(h·rise)/dT by central difference: the correlations are smooth but for their changes of regime.
        double slope = (above * (rise + step) - below * (rise - step)) / (2 * step);
        return new SurfaceFlux(Convection(celsius) * rise + radiation.WattsPerSquareMeter, Math.Max(slope, 0) + radiation.Slope);
    }

    /// <summary>Film coefficient without radiation, W/(m²·K).</summary>
    internal double Convection(double celsius)
    {
        double rise = celsius - ambientCelsius;
        var air = AirProperties.At((celsius + ambientCelsius) / 2 + Radiation.ZeroCelsius);
        double rayleigh = Gravity * air.Expansion * Math.Abs(rise) * Math.Pow(LengthScale, 3) * air.Prandtl / (air.KinematicViscosity * air.KinematicViscosity);
        bool hotSideUp = surface.Orientation == AirOrientation.FaceUp == rise >= 0;
        double nusselt = surface.Orientation == AirOrientation.Vertical ? Vertical(rayleigh, air.Prandtl) : hotSideUp ? Upward(rayleigh) : Downward(rayleigh);
        return nusselt * air.Conductivity / LengthScale;
    }

    internal static double Vertical(double rayleigh, double prandtl)
    {
        double root = 0.825 + 0.387 * Math.Pow(rayleigh, 1.0 / 6) / Math.Pow(1 + Math.Pow(0.492 / prandtl, 9.0 / 16), 8.0 / 27);
        return root * root;
    }

    /// <summary>Laminar 0.54 Ra^(1/4) and turbulent 0.15 Ra^(1/3), the greater of the two: they cross at Ra = 4.7e6.</summary>
    internal static double Upward(double rayleigh) => WithConduction(Math.Max(0.54 * Math.Pow(rayleigh, 0.25), 0.15 * Math.Cbrt(rayleigh)));

    internal static double Downward(double rayleigh) => WithConduction(0.27 * Math.Pow(rayleigh, 0.25));

    /// <summary>Raithby and Hollands's thin-layer correction, Nu = 1.4 / ln(1 + 1.4 / Nu_thin): tends to the thin-layer value where it is large.</summary>
    private static double WithConduction(double thinLayer) => thinLayer <= 1e-12 ? 0 : Math.Max(thinLayer, 1.4 / Math.Log(1 + 1.4 / thinLayer));
}
