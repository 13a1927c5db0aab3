using HeatSpread.Boards;
using HeatSpread.Thermal;
using HeatSpread.Verification.ClosedForms;
using HeatSpread.Verification.Support;
using Xunit;
using static HeatSpread.Verification.Support.Sketch;

namespace HeatSpread.Verification;

/// <summary>By what a part's heat leaves it: against closed forms where there are any, and adding up to its watts on every board.</summary>
public class HeatPathTests(CheckTable checks)
{
    private const double Plane = 35 * Micrometre, Core = 1.5 * Millimetre;

    private static ViaGroup Vias(params Point[] at) => new()
    {
        Net = 0,
        FromLayer = 0,
        ToLayer = 1,
        Drill = 0.3 * Millimetre,
        Plating = 25 * Micrometre,
        PlatingConductivity = 390,
        FillConductivity = 0,
        At = at,
    };

    /// <summary>A pad over all of the board: nothing leaves sideways, and barrels and laminate share by conductance.</summary>
    [Fact]
    public void BarrelsAndLaminateShareByConductance()
    {
        const double Side = 4 * Millimetre, Core = 0.4 * Millimetre;
        var whole = Rectangle(0, 0, Side, Side);
        var vias = Vias(new(1e-3, 1e-3), new(3e-3, 1e-3), new(1e-3, 3e-3), new(3e-3, 3e-3));
        var board = Board(whole, [Copper("L1", Plane, 2e6), Laminate(Core, 0.3), Copper("L2", Plane, 2e6)], [Pour(whole, 0), Pour(whole, 1)], [OnPad("Q1", whole, 0.4)], [vias]);
        var field = Solve(board, Surroundings(0, 0, contacts: Sink(whole, 1e4)), 0.5 * Millimetre);
        double barrel = 4 * 390 * vias.PlatingArea / (Core + Plane), laminate = 0.3 * Side * Side / Core;
        checks.Relative("pad over four barrels", "L/(k·A) of barrels and laminate side by side", "share by vias, W", 0.4 * barrel / (barrel + laminate), Watts(field, PathKind.Vias), 5e-3);
        checks.Relative("pad over four barrels", "L/(k·A) of barrels and laminate side by side", "share by laminate, W", 0.4 * laminate / (barrel + laminate), Watts(field, PathKind.Laminate), 5e-3);
        checks.Relative("pad over four barrels", "L/(k·A) of barrels and laminate side by side", "through the array, W", 0.4 * barrel / (barrel + laminate), field.Vias.Entries[0].Watts, 5e-3);
        Assert.Equal(field.Vias.Entries[0].Watts, field.Vias.Nets[0].Watts, 1e-9);
        Assert.Equal(0, field.Vias.Entries[0].AboveLayer);
        AddsUp(field);
    }

    /// <summary>What leaves the heated end of a fin along it, and what its faces give off there.</summary>
    [Fact]
    public void OuterCopperCarriesWhatTheFinDoes()
    {
        const double Length = 100 * Millimetre, Width = 4 * Millimetre, Thickness = 0.5 * Millimetre, Heated = 5 * Millimetre, Conductivity = 200, Film = 50;
        var strip = Rectangle(0, 0, Length, Width);
        var fin = new Fin(Length, Heated, Conductivity * Width * Thickness, 2 * Film * Width, 1);
        var board = Board(strip, [Copper("L1", Thickness, Conductivity)], [Pour(strip)], [OnPad("Q1", Rectangle(0, 0, Heated, Width), 1)]);
        var field = Solve(board, Surroundings(Film, Film), 0.5 * Millimetre);
        const string source = "fin with insulated tip (Incropera, DeWitt, ch. 3.6)";
        checks.Relative("fin, paths of its source", source, "by outer copper, W", fin.Flow(Heated), Watts(field, PathKind.OuterCopper), 2e-3);
        checks.Relative("fin, paths of its source", source, "by the pad's faces, W", 1 - fin.Flow(Heated), Watts(field, PathKind.Face), 5e-3);
        AddsUp(field);
    }

    [Theory]
    [InlineData(1.0)]
    [InlineData(0.5)]
    [InlineData(0.25)]
    public void PathsAddUpToTheWatts(double pitchMillimetres)
    {
        var (board, conditions) = SmallBoards.WithEverything();
        var field = Solve(board, conditions, pitchMillimetres * Millimetre);
        AddsUp(field);
        Assert.All(field.Parts, part => Assert.DoesNotContain(part.Paths, path => path.Kind == PathKind.Shared));
        double ambient = field.Parts[0].Paths.Where(path => path.Kind == PathKind.Ambient).Sum(path => path.Watts);
        checks.Relative($"paths of a part, pitch {pitchMillimetres} mm", "conservation of energy", "by its link to ambient, W", field.Heat.PartsWatts, ambient, 1e-9);
    }

    [Fact]
    public void PathsAddUpInAir()
    {
        var (board, films) = SmallBoards.WithEverything();
        var side = new StillAirSurface(AirOrientation.Vertical, 0.9, 20);
        var conditions = new Conditions { AmbientCelsius = 25, Top = side, Bottom = side, EdgesFilm = 8, Contacts = films.Contacts, Watts = films.Watts };
        AddsUp(Solve(board, conditions, 0.4 * Millimetre));
    }

    /// <summary>Two pads in one cell: the heat of the other part is told and taken off.</summary>
    [Fact]
    public void PartsThatShareCells()
    {
        var whole = Rectangle(0, 0, 10e-3, 10e-3);
        Part[] parts = [OnPad("Q1", Rectangle(3e-3, 4e-3, 4.6e-3, 6e-3), 1), OnPad("Q2", Rectangle(4.8e-3, 4e-3, 6e-3, 6e-3), 0.5)];
        var board = Board(whole, [Copper("L1", Plane), Laminate(Core, 0.3), Copper("L2", Plane)], [Pour(whole, 0), Pour(whole, 1)], parts);
        var field = Solve(board, Surroundings(10, 10), 1 * Millimetre);
        AddsUp(field);
        Assert.True(field.Parts[0].Paths.Single(path => path.Kind == PathKind.Shared).Watts < -0.05);
    }

    /// <summary>A pin in a hole: pads on both sides, so half of its heat enters at each face of a board that is alike above and below.</summary>
    [Fact]
    public void APadOnBothSides()
    {
        var whole = Rectangle(0, 0, 10e-3, 10e-3);
        var pin = OnPad("J1", Rectangle(4e-3, 4e-3, 6e-3, 6e-3), 1);
        pin = pin with { Terminals = [pin.Terminals[0] with { Sides = [BoardSide.Top, BoardSide.Bottom] }] };
        var board = Board(whole, [Copper("L1", Plane), Laminate(Core, 0.3), Copper("L2", Plane)], [Pour(whole, 0), Pour(whole, 1)], [pin]);
        var field = Solve(board, Surroundings(10, 10), 0.5 * Millimetre);
        checks.Relative("pad on both sides of a board alike above and below", "mirror symmetry", "heat through the top, W", 0.5, field.Heat.TopWatts, 1e-6);
        var copper = field.Parts[0].Paths.Where(path => path.Kind == PathKind.OuterCopper).ToArray();
        Assert.Equal([0, 1], copper.Select(path => path.Layer).Order());
        Assert.Equal(copper[0].Watts, copper[1].Watts, 1e-6);
        AddsUp(field);
    }

    private static double Watts(TemperatureField field, PathKind kind) => field.Parts[0].Paths.Where(path => path.Kind == kind).Sum(path => path.Watts);

    private static void AddsUp(TemperatureField field) =>
        Assert.All(field.Parts, part => Assert.Equal(part.Watts, part.Paths.Sum(path => path.Watts), 1e-6 * field.Heat.DissipatedWatts));
}
