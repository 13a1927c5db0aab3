using HeatSpread.Boards;

namespace HeatSpread.Thermal.Boundary;

/// <summary>
/// A stream along a flat plate, and radiation. The local film grows thicker downstream: laminar Nu_x = 0.332 Re_x^(1/2) Pr^(1/3) (Blasius 1908,
/// Pohlhausen 1921) up to Re_x = 5e5, turbulent Nu_x = 0.0296 Re_x^(4/5) Pr^(1/3) beyond (Incropera and DeWitt, section 7.2).
/// </summary>
internal sealed class MovingAirLaw(MovingAirSurface surface, double ambientCelsius, BoardGrid grid) : SurfaceLaw
{
    private const double CriticalReynolds = 5e5;

    public override bool IsLinear => false;

    public override SurfaceFlux At(double celsius, Point at)
    {
        double film = Convection(celsius, at);
        var radiation = Radiation.At(celsius, surface.SurroundingsCelsius, surface.Emissivity);
        return new SurfaceFlux(film * (celsius - ambientCelsius) + radiation.WattsPerSquareMeter, film + radiation.Slope);
    }

    /// <summary>Mean film coefficient over the cell that holds the place, W/(m²·K).</summary>
    internal double Convection(double celsius, Point at)
    {
        var air = AirProperties.At((celsius + ambientCelsius) / 2 + Radiation.ZeroCelsius);
        double half = (Math.Abs(surface.Along.X) > 0 ? grid.PitchX : grid.PitchY) / 2, x = Math.Max(Downstream(at), half);
        // Integrated over the cell: at the leading edge the local film is infinite, its integral is not.
        return air.Conductivity * (Integral(x + half, air) - Integral(x - half, air)) / (2 * half);
    }

    private double Downstream(Point at) => surface.Along switch
    {
        { X: > 0 } => at.X - grid.Origin.X,
        { X: < 0 } => grid.Origin.X + grid.Columns * grid.PitchX - at.X,
        { Y: > 0 } => at.Y - grid.Origin.Y,
        _ => grid.Origin.Y + grid.Rows * grid.PitchY - at.Y,
    };

    /// <summary>∫ Nu_x / x dx from the leading edge.</summary>
    private double Integral(double x, AirProperties air)
    {
        double reynolds = surface.MetersPerSecond * x / air.KinematicViscosity, cube = Math.Cbrt(air.Prandtl);
        double laminar = 0.664 * Math.Sqrt(Math.Min(reynolds, CriticalReynolds)) * cube;
        return reynolds <= CriticalReynolds ? laminar : laminar + 0.037 * (Math.Pow(reynolds, 0.8) - Math.Pow(CriticalReynolds, 0.8)) * cube;
    }
}
