using HeatSpread.Boards;

namespace HeatSpread.Thermal.Boundary;

/// <summary>What a surface gives off at a temperature.</summary>
/// <param name="Convection">To the air, W/m²; the whole of it where a film is given.</param>
/// <param name="Radiation">To the surroundings, W/m².</param>
/// <param name="Slope">Derivative of the sum by the surface temperature, W/(m²·K), at least 0.</param>
internal readonly record struct SurfaceFlux(double Convection, double Radiation, double Slope)
{
    public double WattsPerSquareMeter => Convection + Radiation;
}

/// <summary>Film coefficients at a temperature, W/(m²·K): of convection over the ambient, of radiation over the surroundings.</summary>
internal readonly record struct SurfaceFilms(double Convection, double Radiation);

/// <summary>How one side gives off heat, as a function of the local surface temperature.</summary>
internal abstract class SurfaceLaw
{
    /// <summary>True where the flux is linear in the temperature: one solve is then exact.</summary>
    public abstract bool IsLinear { get; }

    /// <param name="celsius">Of the surface.</param>
    /// <param name="at">Place in the plan, m.</param>
    public abstract SurfaceFlux At(double celsius, Point at);

    /// <summary>As <see cref="At"/>, as film coefficients.</summary>
    public abstract SurfaceFilms Films(double celsius, Point at);

    /// <summary>The dimensionless numbers at a side's mean temperature, and what is to be said of them.</summary>
    public abstract SurfaceRegime Regime(double meanCelsius);

    /// <summary>What is to be said of the air's properties at the coldest and the hottest place of a side.</summary>
    public virtual IEnumerable<string> AirWarnings(double leastCelsius, double greatestCelsius) => [];

    public static SurfaceLaw Of(Surface surface, Conditions conditions, Region outline, BoardGrid grid)
    {
        var air = new AirState(conditions.AmbientCelsius, conditions.PressureKilopascal);
        return surface switch
        {
            FilmSurface film => new FilmLaw(film.WattsPerSquareMeterKelvin, conditions.AmbientCelsius),
            StillAirSurface still => new StillAirLaw(still, air, outline),
            MovingAirSurface moving => new MovingAirLaw(moving, air, grid, outline.Bounds),
            _ => throw new ArgumentOutOfRangeException(nameof(surface)),
        };
    }
}

/// <summary>A given film coefficient.</summary>
internal sealed class FilmLaw(double wattsPerSquareMeterKelvin, double ambientCelsius) : SurfaceLaw
{
    public override bool IsLinear => true;

    public override SurfaceFlux At(double celsius, Point at) => new(wattsPerSquareMeterKelvin * (celsius - ambientCelsius), 0, wattsPerSquareMeterKelvin);

    public override SurfaceFilms Films(double celsius, Point at) => new(wattsPerSquareMeterKelvin, 0);

    public override SurfaceRegime Regime(double meanCelsius) => SurfaceRegime.Given;
}
