using HeatSpread.Boards;
using HeatSpread.Thermal;
using HeatSpread.Thermal.Boundary;
using Xunit;

namespace HeatSpread.Tests.Thermal;

/// <summary>Films of air against worked examples of textbooks (values from memory).</summary>
public sealed class SurfaceLawTests
{
    private static BoardGrid Grid(double widthMeters, double heightMeters) =>
        new() { Columns = 100, Rows = 100, Origin = new Point(0, 0), PitchX = widthMeters / 100, PitchY = heightMeters / 100 };

    private static Region Plate(double widthMeters, double heightMeters) =>
        new([new Polygon([new(0, 0), new(widthMeters, 0), new(widthMeters, heightMeters), new(0, heightMeters)])]);

    /// <summary>Incropera and DeWitt, example 9.2: a pane 0.71 m high at 232 °C in air of 23 °C, Ra = 1.813e9, Nu = 147, h = 7.0 W/(m²·K).</summary>
    [Fact]
    public void A_vertical_plate_meets_the_textbook_example()
    {
        Assert.Equal(147, StillAirLaw.Vertical(1.813e9, 0.690), 147 * 0.01);
        var law = new StillAirLaw(new StillAirSurface(AirOrientation.Vertical, 0, 23), new AirState(23, 101.325), Plate(1.02, 0.71));
        Assert.Equal(7.0, law.Convection(232, default), 7.0 * 0.02);
    }

    /// <summary>Incropera and DeWitt, section 7.2: laminar mean film of a plate is twice the local one at its trailing edge.</summary>
    [Fact]
    public void A_stream_along_a_plate_has_a_mean_film_of_twice_the_trailing_one()
    {
        var grid = Grid(0.1, 0.1);
        var law = new MovingAirLaw(new MovingAirSurface(2, new Point(1, 0), 0, 25), new AirState(25, 101.325), grid);
        double mean = Enumerable.Range(0, 100).Average(column => law.Convection(45, grid.Centre(column, 50)));
        double trailing = law.Convection(45, grid.Centre(99, 50));
        Assert.Equal(2, mean / trailing, 0.02);
        var air = AirProperties.At(308.15);
        double expected = 0.664 * Math.Sqrt(2 * 0.1 / air.KinematicViscosity) * Math.Cbrt(air.Prandtl) * air.Conductivity / 0.1;
        Assert.Equal(expected, mean, expected * 1e-9);
    }

    [Theory]
    [InlineData(1, 0)]
    [InlineData(-1, 0)]
    [InlineData(0, 1)]
    [InlineData(0, -1)]
    public void The_film_falls_along_the_stream(double x, double y)
    {
        var grid = Grid(0.1, 0.06);
        var law = new MovingAirLaw(new MovingAirSurface(1, new Point(x, y), 0.9, 25), new AirState(25, 101.325), grid);
        Assert.True(law.Convection(50, new Point(0.05 - 0.02 * x, 0.03 - 0.02 * y)) > law.Convection(50, new Point(0.05 + 0.02 * x, 0.03 + 0.02 * y)));
    }

    [Theory]
    [InlineData(AirOrientation.Vertical, 60)]
    [InlineData(AirOrientation.FaceUp, 60)]
    [InlineData(AirOrientation.FaceDown, 90)]
    [InlineData(AirOrientation.FaceUp, 10)]
    public void The_slope_is_the_derivative_of_the_flux(AirOrientation orientation, double celsius)
    {
        var law = new StillAirLaw(new StillAirSurface(orientation, 0.9, 20), new AirState(25, 101.325), Plate(0.06, 0.045));
        double numeric = (law.At(celsius + 0.05, default).WattsPerSquareMeter - law.At(celsius - 0.05, default).WattsPerSquareMeter) / 0.1;
        Assert.Equal(numeric, law.At(celsius, default).Slope, Math.Abs(numeric) * 1e-3);
    }

    /// <summary>Grey body at 100 °C before surroundings of 25 °C, emissivity 0.9: 0.9 σ (373.15⁴ - 298.15⁴) = 586.2 W/m² by hand.</summary>
    [Fact]
    public void Radiation_follows_the_fourth_power() => Assert.Equal(586.2, Radiation.WattsPerSquareMeter(100, 25, 0.9), 0.5);
}
