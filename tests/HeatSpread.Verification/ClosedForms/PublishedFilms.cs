namespace HeatSpread.Verification.ClosedForms;

/// <summary>
/// Films of air coded anew from the published formulas, with properties by formulas of another source than the program's table: Sutherland's law for the viscosity
/// (F. M. White, Viscous Fluid Flow, 3rd ed., table 1-2: 1.716e-5 Pa·s at 273 K, 111 K; conductivity 0.0241 W/(m·K), 194 K; values from memory), ideal gas, specific heat 1007 J/(kg·K).
/// </summary>
/// <param name="Ambient">°C.</param>
/// <param name="Kilopascal">Pressure.</param>
internal sealed record PublishedFilms(double Ambient, double Kilopascal = 101.325)
{
    private const double GasConstant = 287.05, SpecificHeat = 1007, Gravity = 9.80665, StefanBoltzmann = 5.670374419e-8;

    /// <summary>Churchill and Chu 1975, all Rayleigh numbers.</summary>
    public double Vertical(double celsius, double height)
    {
        var (rayleigh, prandtl, conductivity) = Free(celsius, height);
        double nusselt = Math.Pow(0.825 + 0.387 * Math.Pow(rayleigh, 1 / 6.0) / Math.Pow(1 + Math.Pow(0.492 / prandtl, 0.5625), 8 / 27.0), 2);
        return nusselt * conductivity / height;
    }

    /// <summary>McAdams 1954: 0.54 Ra^(1/4) below a hot face that looks up, 0.27 Ra^(1/4) below one that looks down, over area by perimeter.</summary>
    public double Level(double celsius, double areaOverPerimeter, bool up)
    {
        var (rayleigh, _, conductivity) = Free(celsius, areaOverPerimeter);
        return (up ? 0.54 : 0.27) * Math.Pow(rayleigh, 0.25) * conductivity / areaOverPerimeter;
    }

    /// <summary>Raithby and Hollands 1985 for level plates (Handbook of Heat Transfer Fundamentals, ch. 6): another variant for the same plates.</summary>
    public double LevelByRaithbyAndHollands(double celsius, double areaOverPerimeter, bool up)
    {
        var (rayleigh, prandtl, conductivity) = Free(celsius, areaOverPerimeter);
        if (!up)
        {
            double under = 0.527 * Math.Pow(rayleigh, 0.2) / Math.Pow(1 + Math.Pow(1.9 / prandtl, 0.9), 2 / 9.0);
            return 2.5 / Math.Log(1 + 2.5 / under) * conductivity / areaOverPerimeter;
        }
        double thin = 0.835 * 0.515 * Math.Pow(rayleigh, 0.25), laminar = 1.4 / Math.Log(1 + 1.4 / thin), turbulent = 0.14 * Math.Cbrt(rayleigh);
        return Math.Pow(Math.Pow(laminar, 10) + Math.Pow(turbulent, 10), 0.1) * conductivity / areaOverPerimeter;
    }

    /// <summary>
    /// Small level plates. Up: Goldstein, Sparrow and Jones, Int. J. Heat Mass Transfer 16 (1973) 1025, 0.96 Ra^(1/6) from 1 to 200 and 0.59 Ra^(1/4) to 1e4. Down: Radziemska and Lewandowski,
    /// Applied Energy 68 (2001) 347, 0.52 Ra^(1/5) from 1e4 to 1e9 (Incropera and DeWitt, 7th ed., section 9.6; all from memory).
    /// </summary>
    public double SmallLevel(double celsius, double areaOverPerimeter, bool up)
    {
        var (rayleigh, _, conductivity) = Free(celsius, areaOverPerimeter);
        double nusselt = !up ? 0.52 * Math.Pow(rayleigh, 0.2) : rayleigh < 200 ? 0.96 * Math.Pow(rayleigh, 1 / 6.0) : 0.59 * Math.Pow(rayleigh, 0.25);
        return nusselt * conductivity / areaOverPerimeter;
    }

    /// <summary>Mean film of a plate in a stream: 0.664 Re^(1/2) Pr^(1/3), or with a turbulent part (0.037 Re^(4/5) - 871) Pr^(1/3) (Incropera and DeWitt, section 7.2).</summary>
    public double Stream(double celsius, double metersPerSecond, double length)
    {
        var (_, prandtl, conductivity) = Free(celsius, length);
        double reynolds = metersPerSecond * length / KinematicViscosity(celsius);
        double nusselt = (reynolds <= 5e5 ? 0.664 * Math.Sqrt(reynolds) : 0.037 * Math.Pow(reynolds, 0.8) - 871) * Math.Cbrt(prandtl);
        return nusselt * conductivity / length;
    }

    /// <summary>Churchill and Ozoe 1973, laminar, isothermal, all Prandtl numbers: mean film is twice the local one at the end.</summary>
    public double StreamByChurchillAndOzoe(double celsius, double metersPerSecond, double length)
    {
        var (_, prandtl, conductivity) = Free(celsius, length);
        double reynolds = metersPerSecond * length / KinematicViscosity(celsius);
        return 2 * 0.3387 * Math.Sqrt(reynolds) * Math.Cbrt(prandtl) / Math.Pow(1 + Math.Pow(0.0468 / prandtl, 2 / 3.0), 0.25) * conductivity / length;
    }

    /// <summary>W/m² by Stefan and Boltzmann.</summary>
    public static double Radiation(double celsius, double surroundings, double emissivity) =>
        emissivity * StefanBoltzmann * (Math.Pow(celsius + 273.15, 4) - Math.Pow(surroundings + 273.15, 4));

    public double Rayleigh(double celsius, double length) => Free(celsius, length).Rayleigh;

    private double KinematicViscosity(double celsius)
    {
        double kelvin = (celsius + Ambient) / 2 + 273.15;
        return Viscosity(kelvin) / (Kilopascal * 1e3 / (GasConstant * kelvin));
    }

    private (double Rayleigh, double Prandtl, double Conductivity) Free(double celsius, double length)
    {
        double kelvin = (celsius + Ambient) / 2 + 273.15, conductivity = 0.0241 * Math.Pow(kelvin / 273, 1.5) * (273 + 194.0) / (kelvin + 194);
        double prandtl = Viscosity(kelvin) * SpecificHeat / conductivity, viscosity = KinematicViscosity(celsius);
        return (Gravity / kelvin * Math.Abs(celsius - Ambient) * Math.Pow(length, 3) / (viscosity * viscosity) * prandtl, prandtl, conductivity);
    }

    private static double Viscosity(double kelvin) => 1.716e-5 * Math.Pow(kelvin / 273, 1.5) * (273 + 111.0) / (kelvin + 111);
}
