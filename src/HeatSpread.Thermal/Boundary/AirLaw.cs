using System.Globalization;
using HeatSpread.Boards;

namespace HeatSpread.Thermal.Boundary;

/// <param name="AmbientCelsius">Far from the board.</param>
/// <param name="Kilopascal">Pressure.</param>
internal readonly record struct AirState(double AmbientCelsius, double Kilopascal)
{
    /// <summary>Properties at the film temperature, the mean of surface and ambient.</summary>
    public AirProperties Film(double surfaceCelsius) => AirProperties.At(FilmKelvin(surfaceCelsius), Kilopascal);

    public double FilmKelvin(double surfaceCelsius) => (surfaceCelsius + AmbientCelsius) / 2 + Radiation.ZeroCelsius;

    /// <summary>Grashof number of a surface.</summary>
    public double Grashof(double surfaceCelsius, double length)
    {
        var air = Film(surfaceCelsius);
        return StandardGravity * air.Expansion * Math.Abs(surfaceCelsius - AmbientCelsius) * length * length * length / (air.KinematicViscosity * air.KinematicViscosity);
    }

    /// <summary>m/s² (ISO 80000-3).</summary>
    private const double StandardGravity = 9.80665;
}

/// <summary>Convection to air by a correlation, taken at the local surface temperature, and radiation.</summary>
internal abstract class AirLaw(AirState air, double emissivity, double surroundingsCelsius) : SurfaceLaw
{
    protected AirState Air { get; } = air;

    public override bool IsLinear => false;

    public override SurfaceFlux At(double celsius, Point at)
    {
        // The correlations are smooth but for their changes of regime: film and slope from two places close by.
        const double Step = 0.01;
        double below = Convection(celsius - Step, at), above = Convection(celsius + Step, at);
        double film = (below + above) / 2, rise = celsius - Air.AmbientCelsius;
        double slope = film + rise * (above - below) / (2 * Step);
        return new SurfaceFlux(
            film * rise, Radiation.WattsPerSquareMeter(celsius, surroundingsCelsius, emissivity), Math.Max(slope, 0) + Radiation.Slope(celsius, emissivity));
    }

    public override SurfaceFilms Films(double celsius, Point at) => new(Convection(celsius, at), Radiation.Film(celsius, surroundingsCelsius, emissivity));

    /// <summary>Film coefficient without radiation, W/(m²·K).</summary>
    internal abstract double Convection(double celsius, Point at);

    public override IEnumerable<string> AirWarnings(double leastCelsius, double greatestCelsius)
    {
        string table = Say($"outside the table of air properties, {AirProperties.LeastKelvin - Radiation.ZeroCelsius:0} to {AirProperties.MostKelvin - Radiation.ZeroCelsius:0} °C, whose end values were used there");
        double least = Air.FilmKelvin(leastCelsius), greatest = Air.FilmKelvin(greatestCelsius);
        if (least < AirProperties.LeastKelvin) yield return Say($"At the coldest place of the face, {leastCelsius:0} °C, the air's film temperature is {least - Radiation.ZeroCelsius:0} °C, {table}.");
        if (greatest > AirProperties.MostKelvin) yield return Say($"At the hottest place of the face, {greatestCelsius:0} °C, the air's film temperature is {greatest - Radiation.ZeroCelsius:0} °C, {table}.");
    }

    protected static string Say(FormattableString text) => text.ToString(CultureInfo.InvariantCulture);
}

/// <summary>Radiation between a small grey body and large surroundings (Stefan and Boltzmann).</summary>
internal static class Radiation
{
    /// <summary>W/(m²·K⁴), CODATA 2018.</summary>
    public const double StefanBoltzmann = 5.670374419e-8;

    public const double ZeroCelsius = 273.15;

    public static double WattsPerSquareMeter(double celsius, double surroundingsCelsius, double emissivity) =>
        Film(celsius, surroundingsCelsius, emissivity) * (celsius - surroundingsCelsius);

    /// <summary>W/(m²·K) over the surroundings: (T⁴ - S⁴) / (T - S) = (T² + S²)(T + S).</summary>
    public static double Film(double celsius, double surroundingsCelsius, double emissivity)
    {
        double t = celsius + ZeroCelsius, s = surroundingsCelsius + ZeroCelsius;
        return emissivity * StefanBoltzmann * (t * t + s * s) * (t + s);
    }

    /// <summary>Derivative of the flux by the surface temperature, W/(m²·K).</summary>
    public static double Slope(double celsius, double emissivity)
    {
        double t = celsius + ZeroCelsius;
        return 4 * emissivity * StefanBoltzmann * t * t * t;
    }
}
