using HeatSpread.Boards;
using HeatSpread.Verification.Support;
using Xunit;
using static HeatSpread.Verification.Support.Sketch;

namespace HeatSpread.Verification;

/// <summary>
/// Worked examples of F. P. Incropera, D. P. DeWitt, Fundamentals of Heat and Mass Transfer, 5th ed., with the numbers that the book prints (from memory; they carry two to
/// four digits), posed as boards: a wall is a stack, a plate held at a temperature is a board on a contact of great conductance.
/// </summary>
public class TextbookTests(CheckTable checks)
{
    private const string Book = "Incropera, DeWitt, 5th ed., ";
    private const double ZeroKelvin = -273.15, Firm = 1e6;

    [Fact]
    public void WallOfAFurnace()
    {
        var wall = Rectangle(0, 0, 0.5, 1.2);
        var board = Board(wall, [Laminate(0.15, 1.7)]);
        var field = Solve(board, Surroundings(0, 0, ambient: 25, contacts: [Sink(wall, Firm, 1400 + ZeroKelvin, BoardSide.Top, "inside"), Sink(wall, Firm, 1150 + ZeroKelvin, name: "outside")]), 0.1);
        checks.Relative("wall of a furnace", Book + "example 1.1", "heat through the wall, W", 1700, field.Surfaces.Contacts[1].Watts, 5e-3);
    }

    [Fact]
    public void ChipOnASubstrateCooledOnBothSides()
    {
        const double Side = 0.01;
        var whole = Rectangle(0, 0, Side, Side);
        StackRow[] rows = [Copper("chip", 1 * Micrometre), Laminate(0.02 * Millimetre, 0.02e-3 / 0.9e-4), Laminate(8 * Millimetre, 239)];
        var field = Solve(Board(whole, rows, [Pour(whole)], [OnPad("U1", whole, 1e4 * Side * Side)]), Surroundings(100, 100, ambient: 25), 1 * Millimetre);
        checks.Relative("chip on 8 mm of aluminium, epoxy joint 0.9e-4 m²·K/W, films of 100 on both sides", Book + "example 3.3", "chip, K over the air", 75.3 - 25, field.At(0, Side / 2, Side / 2) - 25, 5e-3);
    }

    /// <summary>A very long rod of 5 mm, as a strip of equal perimeter and section; the contact holds its end at 100 °C.</summary>
    [Theory]
    [InlineData("copper", 398, 8.3)]
    [InlineData("aluminium", 180, 5.6)]
    [InlineData("stainless steel", 14, 1.6)]
    public void VeryLongFin(string metal, double conductivity, double printed)
    {
        const double Diameter = 5 * Millimetre, Perimeter = Math.PI * Diameter, Section = Perimeter * Diameter / 4, Width = Perimeter / 2, Thickness = Section / Width, Held = 10 * Millimetre;
        var strip = Rectangle(0, 0, 0.36, Width);
        var end = Rectangle(0, 0, Held, Width);
        // the end is metal of so great a conductance that it has the contact's temperature through and through
        var board = Board(strip, [Copper("L1", Thickness, 2e5, between: conductivity)], [Pour(end)]);
        var field = Solve(board, Surroundings(100, 100, ambient: 25, contacts: [Sink(end, Firm, 100, BoardSide.Top, "above"), Sink(end, Firm, 100)]), 0.5 * Millimetre);
        // the book prints two digits
        checks.Absolute($"very long fin of {metal}", Book + "example 3.9", "heat into the fin, W", printed, -field.Heat.ContactWatts.Sum(), 0.06);
    }

    /// <summary>Hot thin air over a cold plate: 300 °C, 10 m/s, 6 kN/m²; the plate is held at 27 °C.</summary>
    [Fact]
    public void StreamOfHotThinAir()
    {
        const double Length = 0.5, Width = 0.1;
        var plate = Rectangle(0, 0, Length, Width);
        var field = Solve(Metal(plate), HeldAt(27, plate, new MovingAirSurface(10, new(1, 0), 0, 300), ambient: 300, kilopascal: 6), 5 * Millimetre);
        checks.Relative("stream of hot thin air over a plate", Book + "example 7.1", "Reynolds number", 9597, field.Surfaces.Top.Reynolds!.Value, 0.02);
        checks.Relative("stream of hot thin air over a plate", Book + "example 7.1", "Nusselt number", 57.4, field.Surfaces.Top.Nusselt!.Value, 0.02);
        checks.Relative("stream of hot thin air over a plate", Book + "example 7.1", "heat to the plate, W/m", 570, -field.Heat.TopWatts / Width, 0.02);
    }

    [Fact]
    public void GlassDoorOfAFireplace()
    {
        var door = Rectangle(0, 0, 1.02, 0.71);
        var field = Solve(Metal(door), HeldAt(232, door, new StillAirSurface(AirOrientation.Vertical, 0, 23), ambient: 23), 20 * Millimetre);
        checks.Relative("glass door of a fireplace", Book + "example 9.2", "Rayleigh number", 1.813e9, field.Surfaces.Top.Rayleigh!.Value, 0.02);
        checks.Relative("glass door of a fireplace", Book + "example 9.2", "Nusselt number", 147, field.Surfaces.Top.Nusselt!.Value, 0.02);
        checks.Relative("glass door of a fireplace", Book + "example 9.2", "heat to the room, W", 1060, field.Heat.TopWatts, 0.02);
    }

    [Fact]
    public void EmittedByAPlateAt200Celsius()
    {
        var plate = Rectangle(0, 0, 0.1, 0.1);
        var side = new StillAirSurface(AirOrientation.Vertical, 0.8, 25);
        var field = Solve(Metal(plate), HeldAt(200, plate, side, ambient: 25), 10 * Millimetre);
        checks.Relative("grey plate at 200 °C, emissivity 0.8, surroundings of 25 °C", Book + "example 1.2", "net radiation, W/m²", 2270 - 0.8 * 447, field.Surfaces.Top.RadiationWatts!.Value / 0.01, 5e-3);
    }

    /// <summary>A cold plate under one part of a strip, heat made at the far end of the other: θ = Q/(k·A·m) · cosh(m·x)/sinh(m·L) over the plate, then straight.</summary>
    [Fact]
    public void ColdPlateUnderPartOfABoard()
    {
        const double Cooled = 40 * Millimetre, Length = 60 * Millimetre, Width = 5 * Millimetre, Thickness = 0.5 * Millimetre, Conductivity = 200, Firmness = 500, Watts = 2, Sink0 = 10;
        var strip = Rectangle(0, 0, Length, Width);
        var board = Board(strip, [Copper("L1", Thickness, Conductivity)], [Pour(strip)], [OnPad("Q1", Rectangle(55 * Millimetre, 0, Length, Width), Watts)]);
        var field = Solve(board, Surroundings(0, 0, contacts: Sink(Rectangle(0, 0, Cooled, Width), Firmness, Sink0, name: "cold plate")), 0.25 * Millimetre);
        double section = Conductivity * Width * Thickness, m = Math.Sqrt(Firmness * Width / section);
        double Over(double x) => Sink0 + Watts / (section * m) * Math.Cosh(m * x) / Math.Sinh(m * Cooled);
        const string source = "fins in series (Incropera, DeWitt, ch. 3.6)";
        checks.Relative("cold plate under part of a board", source, "rise at 20 mm, over the plate, K", Over(20.125e-3), field.At(0, 20.1e-3, Width / 2), 2e-3);
        checks.Relative("cold plate under part of a board", source, "rise at 50 mm, beside it, K", Over(Cooled) + Watts / section * (50.125e-3 - Cooled), field.At(0, 50.1e-3, Width / 2), 2e-3);
        checks.Relative("cold plate under part of a board", source, "mean rise under the plate, K", Sink0 + Watts / (Firmness * Cooled * Width), field.Surfaces.Contacts[0].MeanCelsius!.Value, 2e-3);
    }

    /// <summary>Contacts as firm as solder: the pad's resistance is next to nothing beside the slab's.</summary>
    [Fact]
    public void FirmContactUnderASlab()
    {
        var whole = Rectangle(0, 0, 0.02, 0.02);
        var field = Solve(Board(whole, [Copper("L1", 35 * Micrometre), Laminate(1 * Millimetre, 0.3)], [Pour(whole)], [OnPad("Q1", whole, 4)]), Surroundings(0, 0, contacts: Sink(whole, 1e5)), 1 * Millimetre);
        double resistance = (1e-3 / 0.3 + 1e-5 + 17.5e-6 / 390) / 4e-4;
        checks.Relative("slab on a contact of 1e5 W/(m²·K)", "series resistance (Incropera, DeWitt, ch. 3.1)", "rise of L1, K", 4 * resistance, field.At(0, 0.01, 0.01), 1e-4);
    }

    /// <summary>Where contacts overlap the first one listed holds.</summary>
    [Fact]
    public void TheFirstOfTwoContactsHolds()
    {
        Region whole = Rectangle(0, 0, 0.02, 0.01), left = Rectangle(0, 0, 0.01, 0.01);
        var board = Board(whole, [Copper("L1", 1 * Millimetre)], [Pour(whole)], [OnPad("Q1", whole, 1)]);
        var field = Solve(board, Surroundings(0, 0, contacts: [Sink(left, 500, 0, name: "first"), Sink(whole, 100, 0, name: "second")]), 1 * Millimetre);
        checks.Relative("two contacts, one upon the other", "the rule: the first listed holds", "area of the second, m²", 1e-4, field.Surfaces.Contacts[1].AreaSquareMeters, 1e-9);
        checks.Relative("two contacts, one upon the other", "conductances side by side by hand", "into the first, W", 5.0 / 6, field.Surfaces.Contacts[0].Watts, 0.02);
    }

    /// <summary>In three rows: the air's film would be lost in single precision beside the contact's conductance in one and the same cell.</summary>
    private static Board Metal(Region whole) => Board(whole, [Copper("L1", 0.3 * Millimetre), Laminate(0.3 * Millimetre, 390), Copper("L2", 0.3 * Millimetre)], [Pour(whole), Pour(whole, layer: 1)]);

    /// <summary>A board on a contact so firm that it has the contact's temperature; its top is in the air.</summary>
    private static Conditions HeldAt(double celsius, Region whole, Surface top, double ambient, double kilopascal = 101.325) => new()
    {
        AmbientCelsius = ambient,
        PressureKilopascal = kilopascal,
        Top = top,
        Bottom = new FilmSurface(0),
        EdgesFilm = 0,
        Contacts = [Sink(whole, 1e4, celsius)],
        Watts = new Dictionary<int, double>(),
    };
}
