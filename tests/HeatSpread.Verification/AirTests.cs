using System.Globalization;
using HeatSpread.Boards;
using HeatSpread.Thermal;
using HeatSpread.Verification.ClosedForms;
using HeatSpread.Verification.Support;
using Xunit;
using static HeatSpread.Verification.Support.Sketch;

namespace HeatSpread.Verification;

/// <summary>Plates of so much copper that they have one temperature, in air: what the solver finds against the published formulas' own balance.</summary>
public class AirTests(CheckTable checks)
{
    private const double Width = 0.16, Height = 0.12, AreaOverPerimeter = Width * Height / (2 * (Width + Height)), Ambient = 25, Emissivity = 0.9;
    private const string ChurchillChu = "Churchill and Chu 1975, balance of the plate by hand", McAdams = "McAdams 1954, balance of the plate by hand";

    private static readonly Region plate = Rectangle(0, 0, Width, Height);

    [Theory]
    [InlineData(1, 0.9)]
    [InlineData(6, 0.9)]
    [InlineData(6, 0)]
    public void VerticalPlate(double watts, double emissivity)
    {
        var films = new PublishedFilms(Ambient);
        double expected = Balance(watts, celsius => 2 * (films.Vertical(celsius, Height) * (celsius - Ambient) + PublishedFilms.Radiation(celsius, Ambient, emissivity)));
        var field = Solve(Plate(watts), Air(Still(AirOrientation.Vertical, emissivity), Still(AirOrientation.Vertical, emissivity)), 4 * Millimetre);
        Check($"vertical plate, {watts} W, emissivity {emissivity}", ChurchillChu, expected, field, 0.05);
    }

    [Theory]
    [InlineData(0.9)]
    [InlineData(0)]
    public void LevelPlate(double emissivity)
    {
        var films = new PublishedFilms(Ambient);
        double Both(double celsius, Func<double, bool, double> film) =>
            (film(celsius, true) + film(celsius, false)) * (celsius - Ambient) + 2 * PublishedFilms.Radiation(celsius, Ambient, emissivity);
        var field = Solve(Plate(6), Air(Still(AirOrientation.FaceUp, emissivity), Still(AirOrientation.FaceDown, emissivity)), 4 * Millimetre);
        string name = $"level plate, emissivity {emissivity}";
        Check(name, McAdams, Balance(6, celsius => Both(celsius, (t, up) => films.Level(t, AreaOverPerimeter, up))), field, 0.05);
        double variant = Balance(6, celsius => Both(celsius, (t, up) => films.LevelByRaithbyAndHollands(t, AreaOverPerimeter, up)));
        checks.Relative(name, "Raithby and Hollands 1985, another variant of the same correlation", "rise, K", variant - Ambient, Mean(field) - Ambient, 0.12);
    }

    /// <summary>Boards are small for a correlation of level plates: one side alone, against two other published ones that hold there.</summary>
    [Theory]
    [InlineData(6, true)]
    [InlineData(12, true)]
    [InlineData(30, true)]
    [InlineData(60, true)]
    [InlineData(80, false)]
    [InlineData(160, false)]
    public void SmallLevelPlate(double widthMm, bool up)
    {
        double width = widthMm * Millimetre, area = 0.75 * width * width, length = area / (3.5 * width), watts = 400 * area;
        var square = Rectangle(0, 0, width, 0.75 * width);
        var films = new PublishedFilms(Ambient);
        var board = Board(square, [Copper("L1", 2 * Millimetre, 1e5)], [Pour(square)], [OnPad("Q1", square, watts)]);
        var field = Solve(board, Air(Still(up ? AirOrientation.FaceUp : AirOrientation.FaceDown, 0), new FilmSurface(0)), width / 20);
        double rayleigh = films.Rayleigh(Mean(field), length);
        double Rise(Func<double, double, bool, double> film) => Balance(400, celsius => film(celsius, length, up) * (celsius - Ambient), area: 1) - Ambient;
        string name = $"level plate of {widthMm} mm, {(up ? "up" : "down")}, Ra {rayleigh.ToString("0.0e+0", CultureInfo.InvariantCulture)}";
        string source = up ? "Goldstein, Sparrow and Jones 1973, balance by hand" : "Radziemska and Lewandowski 2001, balance by hand";
        checks.Relative(name, source, "rise, K", Rise(films.SmallLevel), Mean(field) - Ambient, 0.12);
        checks.Relative(name, "Raithby and Hollands 1985, balance by hand", "rise, K", Rise(films.LevelByRaithbyAndHollands), Mean(field) - Ambient, 0.12);
        Assert.Empty(field.Surfaces.Top.Warnings);
    }

    /// <summary>Above and below are told apart by which side is hot: a cold plate that faces down is what a hot one that faces up is.</summary>
    [Fact]
    public void AColdPlateTurnsTheSides()
    {
        Conditions Of(AirOrientation top, AirOrientation bottom, double sink) =>
            Air(Still(top, 0), Still(bottom, 0), contacts: Sink(Rectangle(0, 0, Width / 4, Height), 500, sink));
        var hot = Solve(Plate(0), Of(AirOrientation.FaceUp, AirOrientation.FaceDown, Ambient + 1), 4 * Millimetre);
        var cold = Solve(Plate(0), Of(AirOrientation.FaceDown, AirOrientation.FaceUp, Ambient - 1), 4 * Millimetre);
        checks.Relative("cold plate, sides exchanged", "symmetry of buoyancy", "heat through the top, W", -hot.Heat.TopWatts, cold.Heat.TopWatts, 0.01);
    }

    [Theory]
    [InlineData(1.0)]
    [InlineData(4.0)]
    public void StreamAlongAPlate(double metersPerSecond)
    {
        var films = new PublishedFilms(Ambient);
        double Plain(double celsius) => 2 * films.Stream(celsius, metersPerSecond, Width) * (celsius - Ambient);
        double Ozoe(double celsius) => 2 * films.StreamByChurchillAndOzoe(celsius, metersPerSecond, Width) * (celsius - Ambient);
        var side = new MovingAirSurface(metersPerSecond, new(1, 0), 0, Ambient);
        var field = Solve(Plate(6), Air(side, side), 2 * Millimetre);
        string name = $"stream of {metersPerSecond} m/s along a plate";
        Check(name, "Blasius 1908, Pohlhausen 1921, mean film, balance by hand", Balance(6, Plain), field, 0.05);
        checks.Relative(name, "Churchill and Ozoe 1973, another variant of the same correlation", "rise, K", Balance(6, Ozoe) - Ambient, Mean(field) - Ambient, 0.12);
    }

    [Fact]
    public void StreamThatTurnsTurbulent()
    {
        const double Long = 0.9, Speed = 20;
        var strip = Rectangle(0, 0, Long, 0.05);
        var films = new PublishedFilms(Ambient);
        double expected = Ambient + 1 / (2 * films.Stream(Ambient + 5, Speed, Long) * Long * 0.05);
        var side = new MovingAirSurface(Speed, new(1, 0), 0, Ambient);
        // so much conduction that the strip has one temperature
        var board = Board(strip, [Copper("L1", 50 * Millimetre, 4000)], [Pour(strip)], [OnPad("Q1", strip, 1)]);
        var field = Solve(board, Air(side, side), 5 * Millimetre);
        checks.Relative("stream with a turbulent part, Re 1.1e6", "mixed flat plate, (0.037 Re^(4/5) - 871) Pr^(1/3) (Incropera, DeWitt, section 7.2)", "rise, K", expected - Ambient, Mean(field) - Ambient, 0.05);
        Assert.InRange(field.Surfaces.Top.Reynolds!.Value, 1e6, 1.3e6);
    }

    /// <summary>A board that conducts nothing and is heated evenly has at each place the rise that the local film gives: it grows as the root of the way downstream.</summary>
    [Fact]
    public void TheTrailingEdgeRunsHotter()
    {
        var side = new MovingAirSurface(2, new(1, 0), 0, Ambient);
        var board = Board(plate, [Laminate(0.1 * Millimetre, new Conductivity(1e-3, 10))], parts: [OnBody("Q1", plate, 2)]);
        var field = Solve(board, Air(side, side), 2 * Millimetre);
        double Rise(double x) => field.At(0, x, Height / 2) - Ambient;
        checks.Relative("stream along an insulating plate, heated evenly", "local film 0.332 Re_x^(1/2) Pr^(1/3): rise as the root of x", "rise at 121 mm over that at 31 mm", Math.Sqrt(121 / 31.0), Rise(0.121) / Rise(0.031), 0.02);
        var films = new PublishedFilms(Ambient);
        double end = Ambient + Rise(0.121), local = films.Stream(end, 2, 0.121) / 2;
        checks.Relative("stream along an insulating plate, heated evenly", "local film 0.332 Re_x^(1/2) Pr^(1/3)", "rise at 121 mm, K", 1 / (Width * Height) / local, Rise(0.121), 0.05);
    }

    [Fact]
    public void RadiationAlone()
    {
        const double Surroundings = -20;
        // at a millimetre of pressure convection is as good as gone, and the correlations say so
        double expected = Balance(6, celsius => 2 * PublishedFilms.Radiation(celsius, Surroundings, Emissivity) + 2 * new PublishedFilms(Surroundings, 1).Vertical(celsius, Height) * (celsius - Surroundings), Surroundings);
        var side = new StillAirSurface(AirOrientation.Vertical, Emissivity, Surroundings);
        var field = Solve(Plate(6), Air(side, side, ambient: Surroundings, kilopascal: 1), 4 * Millimetre);
        checks.Relative("plate in thin air, 1 kPa", "Stefan and Boltzmann, with Churchill and Chu 1975", "plate, K", expected + 273.15, Mean(field) + 273.15, 0.002);
        double byHand = 2 * Width * Height * PublishedFilms.Radiation(Mean(field), Surroundings, Emissivity);
        checks.Relative("plate in thin air, 1 kPa", "Stefan and Boltzmann", "radiated by both sides, W", byHand, field.Surfaces.Top.RadiationWatts!.Value + field.Surfaces.Bottom.RadiationWatts!.Value, 1e-3);
    }

    /// <summary>Hot surroundings heat a board that makes nothing.</summary>
    [Fact]
    public void SurroundingsHotterThanTheAir()
    {
        var films = new PublishedFilms(Ambient);
        double expected = Balance(0, celsius => films.Vertical(celsius, Height) * (celsius - Ambient) + PublishedFilms.Radiation(celsius, 90, Emissivity));
        var side = new StillAirSurface(AirOrientation.Vertical, Emissivity, 90);
        Check("plate before hot surroundings, no watts", "Churchill and Chu 1975, Stefan and Boltzmann", expected, Solve(Plate(0), Air(side, side), 4 * Millimetre), 0.05);
    }

    /// <summary>Thin air at altitude: 70.1 kPa at 3,000 m (ISO 2533, standard atmosphere).</summary>
    [Fact]
    public void AltitudeMakesAPlateHotter()
    {
        double Of(double kilopascal) => Balance(6, celsius => 2 * new PublishedFilms(Ambient, kilopascal).Vertical(celsius, Height) * (celsius - Ambient)) - Ambient;
        var side = Still(AirOrientation.Vertical, 0);
        double Solved(double kilopascal) => Mean(Solve(Plate(6), Air(side, side, kilopascal: kilopascal), 4 * Millimetre)) - Ambient;
        checks.Relative("vertical plate at 3,000 m", ChurchillChu, "rise, K", Of(70.12), Solved(70.12), 0.05);
        checks.Relative("vertical plate at 3,000 m", ChurchillChu, "rise over that at sea level", Of(70.12) / Of(101.325), Solved(70.12) / Solved(101.325), 0.01);
    }

    [Fact]
    public void TheAnswerTellsFilmsAndNumbers()
    {
        var side = Still(AirOrientation.Vertical, Emissivity);
        var top = Solve(Plate(6), Air(side, side), 4 * Millimetre).Surfaces.Top;
        var films = new PublishedFilms(Ambient);
        double celsius = top.MeanCelsius!.Value;
        checks.Relative("surfaces of a vertical plate", "Churchill and Chu 1975", "Rayleigh number", films.Rayleigh(celsius, Height), top.Rayleigh!.Value, 0.05);
        checks.Relative("surfaces of a vertical plate", "Churchill and Chu 1975", "convective film, W/(m²·K)", films.Vertical(celsius, Height), top.ConvectiveFilm!.Value, 0.05);
        checks.Relative("surfaces of a vertical plate", "Stefan and Boltzmann", "radiative film, W/(m²·K)", PublishedFilms.Radiation(celsius, Ambient, Emissivity) / (celsius - Ambient), top.RadiativeFilm!.Value, 1e-6);
        checks.Relative("surfaces of a vertical plate", "area of the board", "area, m²", Width * Height, top.AreaSquareMeters, 1e-6);
        checks.Relative("surfaces of a vertical plate", "conservation of energy", "convection and radiation, W", top.Watts, top.ConvectionWatts!.Value + top.RadiationWatts!.Value, 1e-6);
        Assert.Empty(top.Warnings);
    }

    private static Board Plate(double watts) => Board(plate, [Copper("L1", 2 * Millimetre)], [Pour(plate)], [OnPad("Q1", plate, watts)]);

    private static StillAirSurface Still(AirOrientation orientation, double emissivity) => new(orientation, emissivity, Ambient);

    private static Conditions Air(Surface top, Surface bottom, double ambient = Ambient, double kilopascal = 101.325, params Contact[] contacts) => new()
    {
        AmbientCelsius = ambient,
        PressureKilopascal = kilopascal,
        Top = top,
        Bottom = bottom,
        EdgesFilm = 0,
        Contacts = contacts,
        Watts = new Dictionary<int, double>(),
    };

    /// <summary>°C at which a plate of one temperature gives off the watts, by halving.</summary>
    /// <param name="watts">Made in it.</param>
    /// <param name="flux">W/m² of both sides together.</param>
    /// <param name="from">°C that is surely below.</param>
    /// <param name="area">m² of one side.</param>
    private static double Balance(double watts, Func<double, double> flux, double from = Ambient, double area = Width * Height)
    {
        double low = from, high = from + 500;
        for (int halving = 0; halving < 60; halving++)
        {
            double middle = (low + high) / 2;
            if (flux(middle) * area > watts) high = middle;
            else low = middle;
        }
        return low;
    }

    private static double Mean(TemperatureField field) => field.RowCelsius[0].Average();

    private void Check(string name, string source, double expected, TemperatureField field, double allowed) =>
        checks.Relative(name, source, "rise, K", expected - Ambient, Mean(field) - Ambient, allowed);
}
