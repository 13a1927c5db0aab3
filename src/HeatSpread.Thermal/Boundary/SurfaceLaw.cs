using HeatSpread.Boards;

namespace HeatSpread.Thermal.Boundary;

/// <summary>What a surface gives off at a temperature.</summary>
/// <param name="WattsPerSquareMeter">Heat flux to the surroundings.</param>
/// <param name="Slope">Its derivative by the surface temperature, W/(m²·K), at least 0.</param>
internal readonly record struct SurfaceFlux(double WattsPerSquareMeter, double Slope);

/// <summary>How one side gives off heat, as a function of the local surface temperature.</summary>
internal abstract class SurfaceLaw
{
    /// <summary>True where the flux is linear in the temperature: one solve is then exact.</summary>
    public abstract bool IsLinear { get; }

    /// <param name="celsius">Of the surface.</param>
    /// <param name="at">Place in the plan, m.</param>
    public abstract SurfaceFlux At(double celsius, Point at);

    public static SurfaceLaw Of(Surface surface, double ambientCelsius, BoardGrid grid) => surface switch
    {
        FilmSurface film => new FilmLaw(film.WattsPerSquareMeterKelvin, ambientCelsius),
        StillAirSurface still => new StillAirLaw(still, ambientCelsius, grid),
        MovingAirSurface moving => new MovingAirLaw(moving, ambientCelsius, grid),
        _ => throw new ArgumentOutOfRangeException(nameof(surface)),
    };
}

/// <summary>A given film coefficient.</summary>
internal sealed class FilmLaw(double wattsPerSquareMeterKelvin, double ambientCelsius) : SurfaceLaw
{
    public override bool IsLinear => true;

    public override SurfaceFlux At(double celsius, Point at) => new(wattsPerSquareMeterKelvin * (celsius - ambientCelsius), wattsPerSquareMeterKelvin);
}

/// <summary>Radiation between a small grey body and large surroundings (Stefan and Boltzmann).</summary>
internal static class Radiation
{
    /// <summary>W/(m²·K⁴), CODATA 2018.</summary>
    public const double StefanBoltzmann = 5.670374419e-8;

    public const double ZeroCelsius = 273.15;

    public static SurfaceFlux At(double celsius, double surroundingsCelsius, double emissivity)
    {
        double t = celsius + ZeroCelsius, s = surroundingsCelsius + ZeroCelsius;
        return new SurfaceFlux(emissivity * StefanBoltzmann * (t * t * t * t - s * s * s * s), 4 * emissivity * StefanBoltzmann * t * t * t);
    }
}
