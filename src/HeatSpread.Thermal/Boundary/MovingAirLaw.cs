using HeatSpread.Boards;

namespace HeatSpread.Thermal.Boundary;

/// <summary>
/// A stream along a flat plate. The local film grows thicker downstream: laminar Nu_x = 0.332 Re_x^(1/2) Pr^(1/3) (Blasius 1908,
/// Pohlhausen 1921; within 2 % of Churchill and Ozoe, J. Heat Transfer 95 (1973) 416, for air) up to Re_x = 5e5, turbulent
/// Nu_x = 0.0296 Re_x^(4/5) Pr^(1/3) beyond, to 1e8 (Incropera and DeWitt, section 7.2). The boundary layer begins at the edge of the board's bounding box.
/// </summary>
internal sealed class MovingAirLaw(MovingAirSurface surface, AirState air, BoardGrid grid, Box? board = null) : AirLaw(air, surface.Emissivity, surface.SurroundingsCelsius)
{
    private const double CriticalReynolds = 5e5, MostReynolds = 1e8;

    /// <summary>Below it the boundary layer is no longer thin beside the plate (common practice, no source).</summary>
    private const double LeastReynolds = 1e3;

    private bool AlongX => surface.Along.X != 0;

    /// <summary>Of the board; the grid's where none is given. A grid that two boards share is larger than either.</summary>
    private readonly Box _board = board ?? new Box(grid.Origin.X, grid.Origin.Y, grid.Origin.X + grid.Columns * grid.PitchX, grid.Origin.Y + grid.Rows * grid.PitchY);

    private double Length => AlongX ? _board.Width : _board.Height;

    public override SurfaceRegime Regime(double meanCelsius)
    {
        var properties = Air.Film(meanCelsius);
        double reynolds = surface.MetersPerSecond * Length / properties.KinematicViscosity, richardson = Air.Grashof(meanCelsius, Length) / (reynolds * reynolds);
        var warnings = new List<string>();
        if (reynolds is < LeastReynolds or > MostReynolds)
            warnings.Add(Say($"The Reynolds number, {reynolds:g3}, lies outside {LeastReynolds:g1} to {MostReynolds:g1}, the range of the flat plate's boundary layer."));
        if (richardson > 1)
            warnings.Add(Say($"Buoyancy is as strong as the stream (Gr/Re² = {richardson:g2}, above 1), and the correlation leaves it out: `stillAir` may be nearer."));
        return new SurfaceRegime
        {
            Correlation = reynolds <= CriticalReynolds ? "Blasius 1908, Pohlhausen 1921, laminar flat plate" : "flat plate, laminar to Re 5e5, then turbulent (Incropera and DeWitt, section 7.2)",
            LengthScale = Length,
            Reynolds = reynolds,
            Prandtl = properties.Prandtl,
            AirConductivity = properties.Conductivity,
            Warnings = warnings,
        };
    }

    /// <summary>Mean over the cell that holds the place: at the leading edge the local film is infinite, its integral is not.</summary>
    internal override double Convection(double celsius, Point at)
    {
        var properties = Air.Film(celsius);
        double half = (AlongX ? grid.PitchX : grid.PitchY) / 2, x = Math.Max(Downstream(at), half);
        return properties.Conductivity * (Integral(x + half, properties) - Integral(x - half, properties)) / (2 * half);
    }

    private double Downstream(Point at) => surface.Along switch
    {
        { X: > 0 } => at.X - _board.MinX,
        { X: < 0 } => _board.MaxX - at.X,
        { Y: > 0 } => at.Y - _board.MinY,
        _ => _board.MaxY - at.Y,
    };

    /// <summary>∫ Nu_x / x dx from the leading edge.</summary>
    private double Integral(double x, AirProperties properties)
    {
        double reynolds = surface.MetersPerSecond * Math.Max(x, 0) / properties.KinematicViscosity, cube = Math.Cbrt(properties.Prandtl);
        double laminar = 0.664 * Math.Sqrt(Math.Min(reynolds, CriticalReynolds)) * cube;
        return reynolds <= CriticalReynolds ? laminar : laminar + 0.037 * (Math.Pow(reynolds, 0.8) - Math.Pow(CriticalReynolds, 0.8)) * cube;
    }
}
