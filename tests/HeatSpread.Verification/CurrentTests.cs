using System.Text.RegularExpressions;
using HeatSpread.Boards;
using HeatSpread.Thermal;
using HeatSpread.Verification.Support;
using Xunit;
using static HeatSpread.Verification.Support.Sketch;

namespace HeatSpread.Verification;

/// <summary>Direct current in copper: resistances in closed form, the loss, and the temperature that the loss makes.</summary>
public class CurrentTests(CheckTable checks)
{
    private const string Standard = "IEC 60028, ρ·l/A";

    /// <summary>IEC 60028 (values from memory): annealed copper.</summary>
    private const double At20 = 1.7241e-8, PerKelvin = 0.00393;

    private const double Foil = 35 * Micrometre;

    private static StackRow[] OneLayer(double thickness = Foil) => [Copper("L1", thickness), Laminate(0.8 * Millimetre, 0.3)];

    private static Part Pads(params Region[] pads) => new()
    {
        Id = "J1",
        Kind = "connector",
        Side = BoardSide.Top,
        Terminals = [.. pads.Select((pad, i) => new Terminal($"{i}", 0, pad))],
        Watts = 0,
    };

    private static DirectCurrent Current(double amperes, int from = 0, int to = 1) => new("load", 0, amperes, [new(0, from)], [new(0, to)]);

    /// <summary>Films so strong that the copper keeps the ambient temperature.</summary>
    private static Conditions Cold(double celsius, params DirectCurrent[] currents) => With(Surroundings(1e6, 1e6, ambient: celsius), currents);

    private static Conditions With(Conditions conditions, params DirectCurrent[] currents) => conditions with { Currents = currents };

    private static double Ohms(TemperatureField field, double amperes, int current = 0) => field.Currents!.Readings[current].DropVolts / amperes;

    [Fact]
    public void OneOunceOfCopperPerSquare()
    {
        const double Side = 10 * Millimetre;
        var square = Rectangle(0, 0, Side, Side);
        var pads = Pads(Rectangle(-2 * Millimetre, 0, 0, Side), Rectangle(Side, 0, Side + 2 * Millimetre, Side));
        var board = Board(Rectangle(-2 * Millimetre, 0, Side + 2 * Millimetre, Side), OneLayer(34.8 * Micrometre), [Pour(square)], [pads]);
        var field = Solve(board, Cold(25, Current(1)), 0.5 * Millimetre);
        checks.Relative("1 oz copper, one square at 25 °C", "common practice, no source: about 0.5 mΩ per square", "resistance, mΩ", 0.5, 1e3 * Ohms(field, 1), 0.02);
        checks.Relative("1 oz copper, one square at 25 °C", Standard, "resistance, mΩ", 1e3 * At20 * (1 + PerKelvin * 5) / (34.8 * Micrometre), 1e3 * Ohms(field, 1), 1e-4);
    }

    /// <summary>The ends of the pads and the edges of the bar lie anywhere in the cells.</summary>
    [Theory]
    [InlineData(0, 2)]
    [InlineData(0, 0.31)]
    [InlineData(27, 2)]
    [InlineData(45, 0.5)]
    public void ABar(double degrees, double widthMm)
    {
        const double Length = 15.3 * Millimetre, Pad = 3 * Millimetre, Amperes = 2;
        double width = widthMm * Millimetre;
        var (sin, cos) = Math.SinCos(degrees * Math.PI / 180);
        Region Turned(Region region) => region.Map(p => new(p.X * cos - p.Y * sin, p.X * sin + p.Y * cos));
        var bar = Turned(Rectangle(-Pad, 0, Length + Pad, width));
        var pads = Pads(Turned(Rectangle(-Pad, -0.4 * Millimetre, 0, width + 0.4 * Millimetre)), Turned(Rectangle(Length, -0.4 * Millimetre, Length + Pad, width + 0.4 * Millimetre)));
        var board = Board(Rectangle(-5e-3, -5e-3, 22e-3, 22e-3), OneLayer(), [Pour(bar)], [pads]);
        var field = Solve(board, Cold(20, Current(Amperes)), 0.25 * Millimetre);
        double expected = At20 * Length / (width * Foil);
        checks.Relative($"bar {widthMm} mm wide, at {degrees}°", Standard, "resistance, mΩ", 1e3 * expected, 1e3 * Ohms(field, Amperes), 0.01);
        Assert.Equal(Amperes * Amperes * expected, field.Heat.DissipatedWatts, 0.01 * Amperes * Amperes * expected);
        Assert.InRange(field.Currents!.Readings[0].PeakAmpsPerSquareMeter / (Amperes / (width * Foil)), 0.97, degrees == 0 ? 1.05 : 1.6);
    }

    [Theory]
    [InlineData(0)]
    [InlineData(390)]
    public void ABarrel(double fill)
    {
        const double Side = 2 * Millimetre, Core = 1.5 * Millimetre, Amperes = 3;
        var whole = Rectangle(0, 0, Side, Side);
        var via = new ViaGroup { Net = 0, FromLayer = 0, ToLayer = 1, Drill = 0.3e-3, Plating = 25e-6, PlatingConductivity = 390, FillConductivity = fill, At = [new(0.93e-3, 1.04e-3)] };
        Part[] parts = [Pads(whole), Pads(whole) with { Id = "J2", Side = BoardSide.Bottom }];
        var board = Board(whole, [Copper("L1", Foil), Laminate(Core, 0.3), Copper("L2", Foil)], parts: parts, vias: [via]);
        var field = Solve(board, With(Surroundings(1e6, 1e6, ambient: 20), new DirectCurrent("load", 0, Amperes, [new(0, 0)], [new(1, 0)])), 0.25 * Millimetre);
        double metal = via.PlatingArea + (fill > 0 ? via.FillArea : 0), cold = At20 * (Core + Foil) / metal;
        // A barrel in laminate is warmer than its ends: the mean of the temperature along it is read from the field.
        double expected = cold * (1 + PerKelvin * (field.At(1, 0.93e-3, 1.04e-3) - 20) * 0.5);
        checks.Relative($"plated barrel, fill {fill} W/(m·K)", Standard, "resistance, mΩ", 1e3 * cold, 1e3 * Ohms(field, Amperes), 0.02);
        Assert.True(expected >= cold);
    }

    /// <summary>Two discs on a wide sheet: the two-dimensional problem of two parallel cylinders.</summary>
    [Theory]
    [InlineData(1.0)]
    [InlineData(2.2)]
    public void TwoContactsOnAPlane(double radiusMm)
    {
        const double Distance = 8 * Millimetre, Side = 160 * Millimetre, Amperes = 5;
        double radius = radiusMm * Millimetre;
        var plane = Rectangle(0, 0, Side, Side);
        Region Disc(double x) => new([new Polygon(Circle(new(x, Side / 2 + 0.13e-3), radius))]);
        var board = Board(plane, OneLayer(), [Pour(plane)], [Pads(Disc((Side - Distance) / 2), Disc((Side + Distance) / 2))]);
        var field = Solve(board, Cold(20, Current(Amperes)), 0.5 * Millimetre);
        double expected = At20 / (Math.PI * Foil) * Math.Acosh(Distance / (2 * radius));
        checks.Relative($"two round contacts of {radiusMm} mm on a plane", "ρ/(π·t)·arccosh(d/2a): Smythe, Static and Dynamic Electricity (from memory)", "resistance, mΩ", 1e3 * expected, 1e3 * Ohms(field, Amperes), 0.015);
    }

    [Fact]
    public void AnAnnulus()
    {
        const double Inner = 2 * Millimetre, Outer = 9 * Millimetre, Amperes = 5;
        Region ring = new([new Polygon(Circle(default, 11e-3), [Circle(default, Outer)])]), disc = new([new Polygon(Circle(default, Inner))]);
        var whole = Rectangle(-12e-3, -12e-3, 12e-3, 12e-3);
        var board = Board(whole, OneLayer(), [Pour(whole)], [Pads(disc, ring)]);
        var field = Solve(board, Cold(20, Current(Amperes)), 0.4 * Millimetre);
        double expected = At20 * Math.Log(Outer / Inner) / (2 * Math.PI * Foil);
        checks.Relative("annulus between two rings", "ln(b/a)/(2π·σ·t): Carslaw and Jaeger, Conduction of Heat in Solids, § 7.2 (for heat; from memory)", "resistance, mΩ", 1e3 * expected, 1e3 * Ohms(field, Amperes), 0.01);
    }

    /// <summary>A bar of copper that is one temperature throughout, under given films: the loss and the rise have a closed form.</summary>
    private static (Board Board, double Cold, double Film) Lumped(double filmOfEachSide, double ambient)
    {
        const double Length = 20 * Millimetre, Width = 4 * Millimetre;
        var whole = Rectangle(0, 0, Length, Width);
        StackRow[] spreading = [Copper("L1", Foil), Laminate(0.8 * Millimetre, 1e5)];
        var board = Board(whole, spreading, [Pour(whole)], [Pads(Rectangle(0, 0, 1e-3, Width), Rectangle(Length - 1e-3, 0, Length, Width))]);
        return (board, At20 * 18e-3 / (Width * Foil) * (1 + PerKelvin * (ambient - 20)), 2 * filmOfEachSide * Length * Width);
    }

    [Theory]
    [InlineData(5)]
    [InlineData(20)]
    [InlineData(22)]
    public void ResistanceRisesWithItsOwnHeat(double amperes)
    {
        const double Ambient = 40;
        var (board, cold, film) = Lumped(40, Ambient);
        double expected = amperes * amperes * cold / (film - PerKelvin * amperes * amperes * cold / (1 + PerKelvin * (Ambient - 20)));
        var field = Solve(board, With(Surroundings(40, 40, ambient: Ambient), Current(amperes)), 0.25 * Millimetre);
        double mean = field.RowCelsius[0].Average() - Ambient;
        checks.Relative($"copper heated by its own {amperes} A", "I²·R(T) against a film, solved for T", "mean rise, K", expected, mean, 1e-3);
        Assert.InRange(field.Heat.ImbalanceWatts, -1e-6 * field.Heat.DissipatedWatts, 1e-6 * field.Heat.DissipatedWatts);
        Assert.Equal(field.Heat.DissipatedWatts, field.Currents!.Readings[0].CopperWatts, 1e-6 * field.Heat.DissipatedWatts);
    }

    [Fact]
    public void BeyondTheThresholdThereIsNoSteadyState()
    {
        var (board, cold, film) = Lumped(40, 20);
        double threshold = Math.Sqrt(film / (PerKelvin * cold));
        Assert.True(Solve(board, With(Surroundings(40, 40, ambient: 20), Current(0.8 * threshold)), 0.5 * Millimetre).Heat.DissipatedWatts > 0);
        var thrown = Assert.Throws<ThermalSolveException>(() => Solve(board, With(Surroundings(40, 40, ambient: 20), Current(1.1 * threshold)), 0.5 * Millimetre));
        Assert.True(thrown.IsRunaway);
    }

    /// <summary>Two loads fed from one pad: powers and drops of the summed field agree, and each load's own part does not depend on how the solve is cut up.</summary>
    [Fact]
    public void CurrentsOfOneNetSuperpose()
    {
        var whole = Rectangle(0, 0, 30e-3, 20e-3);
        var pads = Pads(Rectangle(2e-3, 8e-3, 5.2e-3, 12e-3), Rectangle(25e-3, 2.1e-3, 28e-3, 5e-3), Rectangle(25e-3, 15e-3, 28e-3, 17.9e-3));
        var board = Board(whole, OneLayer(), [Pour(whole)], [pads]);
        var both = Solve(board, Cold(20, Current(4, 0, 1), Current(4, 0, 2)), 0.25 * Millimetre);
        double watts = both.Heat.DissipatedWatts;
        checks.Relative("two currents of one net", "sum of I·V is the sum of I²·R", "copper loss, mW", 1e3 * 4 * both.Currents!.Readings.Sum(r => r.DropVolts), 1e3 * watts, 1e-6);
        // By symmetry the two loads share alike, and each sees more drop than it has alone.
        Assert.Equal(both.Currents.Readings[0].DropVolts, both.Currents.Readings[1].DropVolts, 1e-3 * both.Currents.Readings[0].DropVolts);
        Assert.True(both.Currents.Readings[0].DropVolts > 1.2 * Solve(board, Cold(20, Current(4, 0, 1)), 0.25 * Millimetre).Currents!.Readings[0].DropVolts);
        var opposed = Solve(board, Cold(20, Current(5, 0, 1), Current(3, 1, 0)), 0.25 * Millimetre);
        checks.Relative("two opposite currents", "they lose what their difference loses", "copper loss, mW", 1e3 * Solve(board, Cold(20, Current(2, 0, 1)), 0.25 * Millimetre).Heat.DissipatedWatts, 1e3 * opposed.Heat.DissipatedWatts, 1e-6);
    }

    [Fact]
    public void AGapIsNamed()
    {
        var whole = Rectangle(0, 0, 20e-3, 8e-3);
        var board = Board(whole, OneLayer(), [Pour(whole), Cut(new(10e-3, -1e-3), new(10e-3, 9e-3), 0.2e-3)], [Pads(Rectangle(1e-3, 1e-3, 3e-3, 3e-3), Rectangle(17e-3, 1e-3, 19e-3, 3e-3))]);
        var thrown = Assert.Throws<ThermalSolveException>(() => Solve(board, Cold(20, Current(1)), 0.5 * Millimetre));
        var fault = Assert.Single(thrown.Faults);
        Assert.Equal("/currents/0/from/0", fault.Pointer);
        // The cut lies between x = 9.9 and 10.1 mm, to a fine point of 1/16 mm.
        Assert.Matches(@"^J1:0 is not joined to J1:1: between the edge of its copper on L1 at \((9\.8[4-9]|9\.9\d?), [\d.]+\) mm and that of J1:1 on L1 at \(10\.1\d?, [\d.]+\) mm there is a gap of 0\.(1[89]|2)\d* mm\.$", fault.Detail);
    }

    /// <summary>Two pads of three on a piece of their own, and one on bare laminate: each is told once, at its own place.</summary>
    [Fact]
    public void EveryGapIsNamedOnce()
    {
        var whole = Rectangle(0, 0, 20e-3, 8e-3);
        var pads = Pads(Rectangle(1e-3, 1e-3, 3e-3, 3e-3), Rectangle(1e-3, 5e-3, 3e-3, 7e-3), Rectangle(12e-3, 1e-3, 14e-3, 3e-3), Rectangle(16e-3, 1e-3, 19e-3, 3e-3));
        var board = Board(whole, OneLayer(), [Pour(Rectangle(0, 0, 5e-3, 8e-3)), Pour(Rectangle(11e-3, 0, 15e-3, 8e-3))], [pads]);
        var current = new DirectCurrent("load", 0, 1, [new(0, 0), new(0, 1)], [new(0, 2), new(0, 3)]);
        var faults = Assert.Throws<ThermalSolveException>(() => Solve(board, Cold(20, current), 0.5 * Millimetre)).Faults;
        Assert.Equal(["/currents/0/from/0", "/currents/0/to/1"], faults.Select(f => f.Pointer));
        Assert.Equal("J1:3 is not joined to J1:0, J1:1: no copper of NET on L1 meets its pad; the copper of J1:0, J1:1 is 11 mm away, on L1 at (5, X) mm.", Regex.Replace(faults[1].Detail, @"\(5, [\d.]+\)", "(5, X)"));
        Assert.Contains("J1:0, J1:1 are not joined to J1:2", faults[0].Detail, StringComparison.Ordinal);
        Assert.Contains("there is a gap of 6 mm", faults[0].Detail, StringComparison.Ordinal);
    }

    /// <summary>A pad is metal for the current that passes under it too, whoever uses it.</summary>
    [Theory]
    [InlineData(0)]
    [InlineData(1)]
    public void ThePadOfAnotherCurrentIsOneConductor(double otherAmperes)
    {
        const double Length = 20 * Millimetre, Width = 2 * Millimetre, Middle = 3 * Millimetre, Amperes = 2;
        var bar = Rectangle(0, 0, Length, Width);
        var pads = Pads(Rectangle(0, 0, 1e-3, Width), Rectangle(8e-3, 0, 8e-3 + Middle, Width), Rectangle(Length - 1e-3, 0, Length, Width));
        var board = Board(bar, OneLayer(), [Pour(bar)], [pads]);
        var field = Solve(board, Cold(20, Current(Amperes, 0, 2), Current(otherAmperes, 0, 1)), 0.25 * Millimetre);
        double perMetre = At20 / (Width * Foil), drop = perMetre * ((Amperes + otherAmperes) * 7e-3 + Amperes * 8e-3);
        checks.Relative($"bar with the pad of another current of {otherAmperes} A", Standard, "drop, mV", 1e3 * drop, 1e3 * field.Currents!.Readings[0].DropVolts, 1e-3);
        checks.Relative($"bar with the pad of another current of {otherAmperes} A", "sum of I·V is the sum of I²·R", "copper loss, mW", 1e3 * (Amperes * drop + otherAmperes * perMetre * (Amperes + otherAmperes) * 7e-3), 1e3 * field.Heat.DissipatedWatts, 1e-3);
    }

    /// <summary>What one current joins is joined for the other: two pads at either end of a bar, fed together, feed a third alone in parallel.</summary>
    [Fact]
    public void PadsThatOneCurrentJoinsAreJoinedForAll()
    {
        const double Length = 21 * Millimetre, Width = 2 * Millimetre, Amperes = 4;
        var bar = Rectangle(0, 0, Length, Width);
        var pads = Pads(Rectangle(0, 0, 1e-3, Width), Rectangle(10e-3, 0, 11e-3, Width), Rectangle(Length - 1e-3, 0, Length, Width));
        var board = Board(bar, OneLayer(), [Pour(bar)], [pads]);
        var both = new DirectCurrent("both", 0, 0, [new(0, 0), new(0, 2)], [new(0, 1)]);
        double expected = At20 * 9e-3 / (Width * Foil) / 2;
        checks.Relative("bar fed from both ends", Standard, "resistance, mΩ", 1e3 * expected, 1e3 * Ohms(Solve(board, Cold(20, Current(Amperes, 0, 1), both), 0.25 * Millimetre), Amperes), 1e-3);
        var faults = Assert.Throws<ThermalSolveException>(() => Solve(board, Cold(20, both, Current(1, 0, 2)), 0.5 * Millimetre)).Faults;
        Assert.Equal("/currents/1/to", Assert.Single(faults).Pointer);
    }

    /// <summary>The chart is a fit to old measurements of unknown boards: it is an order of magnitude.</summary>
    [Theory]
    [InlineData(0.5)]
    [InlineData(2)]
    public void AConductorByTheChart(double widthMm)
    {
        const double Mil = 25.4e-6, Rise = 20;
        double width = widthMm * Millimetre, amperes = 0.048 * Math.Pow(Rise, 0.44) * Math.Pow(width * Foil / (Mil * Mil), 0.725);
        const double Length = 100 * Millimetre, Across = 60 * Millimetre;
        var pads = Pads(Rectangle(0, (Across - width) / 2, 0.5e-3, (Across + width) / 2), Rectangle(Length - 0.5e-3, (Across - width) / 2, Length, (Across + width) / 2));
        StackRow[] rows = [Copper("L1", Foil), Laminate(1.6 * Millimetre, new Conductivity(0.8, 0.3))];
        var board = Board(Rectangle(0, 0, Length, Across), rows, [Track(new(0, Across / 2), new(Length, Across / 2), width)], [pads]);
        var surface = new StillAirSurface(AirOrientation.Vertical, 0.9, 25);
        var conditions = new Conditions { AmbientCelsius = 25, Top = surface, Bottom = surface, EdgesFilm = 0, Contacts = [], Watts = new Dictionary<int, double>(), Currents = [Current(amperes)] };
        double rise = Solve(board, conditions, 0.5 * Millimetre).At(0, Length / 2, Across / 2) - 25;
        checks.Relative($"conductor {widthMm} mm wide", "IPC-2221, I = 0.048·ΔT^0.44·A^0.725 (from memory), an order of magnitude", "rise, K", Rise, rise, 0.6);
    }
}
