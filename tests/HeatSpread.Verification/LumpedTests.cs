using HeatSpread.Boards;
using HeatSpread.Verification.Support;
using Xunit;
using static HeatSpread.Verification.Support.Sketch;

namespace HeatSpread.Verification;

/// <summary>Boards of so much copper that they have one temperature to a percent: what remains is a network of a few resistances, solved by hand.</summary>
public class LumpedTests(CheckTable checks)
{
    private const string Source = "nodal balance of a few resistances by hand";
    private const double Length = 20 * Millimetre, Width = 10 * Millimetre, Thickness = 1 * Millimetre, Conductivity = 390;

    private static readonly Region whole = Rectangle(0, 0, Length, Width);

    private static StackRow[] Block => [Copper("L1", Thickness, Conductivity)];

    [Fact]
    public void FilmContactAndAmbientShareTheHeat()
    {
        var half = Rectangle(0, 0, Length / 2, Width);
        var board = Board(whole, Block, [Pour(whole)], [OnPad("Q1", Rectangle(1e-3, 1e-3, 3e-3, 3e-3), 3)]);
        var field = Solve(board, Surroundings(top: 20, bottom: 30, ambient: 25, contacts: Sink(half, 500, celsius: 40)), 0.5 * Millimetre);
        double film = (20 + 30 / 2.0) * Length * Width, contact = 500 * Length * Width / 2;
        double celsius = (film * 25 + contact * 40 + 3) / (film + contact);
        checks.Relative("film, contact and ambient", Source, "board, °C", celsius, field.At(0, Length / 2, Width / 2), 0.02);
        checks.Relative("film, contact and ambient", Source, "heat into the contact, W", contact * (celsius - 40), field.Heat.ContactWatts[0], 0.02);
        checks.Relative("film, contact and ambient", Source, "heat through the top, W", 20 * Length * Width * (celsius - 25), field.Heat.TopWatts, 0.02);
    }

    [Fact]
    public void AContactMayHeatTheBoard()
    {
        // film and contact on rows of their own: in one cell single precision rounds the film by a millionth
        var board = Board(whole, [.. Block, Laminate(1 * Micrometre, Conductivity)], [Pour(whole)]);
        var field = Solve(board, Surroundings(top: 20, bottom: 0, ambient: 25, contacts: Sink(whole, 500, celsius: 80)), 0.5 * Millimetre);
        double celsius = (20 * 25 + 500 * 80) / 520.0;
        checks.Relative("contact hotter than the ambient, no watts", Source, "board, °C", celsius, field.At(0, Length / 2, Width / 2), 0.02);
        checks.Relative("contact hotter than the ambient, no watts", Source, "heat into the contact, W", 500 * Length * Width * (celsius - 80), field.Heat.ContactWatts[0], 0.02);
    }

    [Fact]
    public void EdgesLoseHeatByLengthAndThickness()
    {
        var board = Board(whole, Block, [Pour(whole)], [OnPad("Q1", Rectangle(1e-3, 1e-3, 3e-3, 3e-3), 1)]);
        var field = Solve(board, Surroundings(0, 0, edges: 40), 0.5 * Millimetre);
        checks.Relative("film on the rim", Source, "board rise, K", 1 / (40 * 2 * (Length + Width) * Thickness), field.At(0, Length / 2, Width / 2), 0.02);
        checks.Relative("film on the rim", Source, "heat through the edges, W", 1, field.Heat.EdgesWatts, 1e-5);
    }

    [Fact]
    public void AnOpeningAddsItsRimAndTakesItsArea()
    {
        Box outer = new(0, 0, Length, Width), opening = new(8.13e-3, 3.21e-3, 14.07e-3, 6.9e-3);
        var outline = Frame(outer, opening);
        var board = Board(outline, Block, [Pour(outline)], [OnPad("Q1", Rectangle(1e-3, 1e-3, 3e-3, 3e-3), 1)]);
        var field = Solve(board, Surroundings(top: 10, bottom: 0, edges: 40), 0.5 * Millimetre);
        double rim = 2 * (Length + Width) + 2 * (opening.Width + opening.Height), area = Length * Width - opening.Width * opening.Height;
        checks.Relative("opening, films on rim and top", Source, "board rise, K", 1 / (40 * rim * Thickness + 10 * area), field.At(0, 2e-3, 2e-3), 0.02);
        Assert.True(float.IsNaN((float)field.At(0, 11e-3, 5e-3)), "there is no board in the opening");
    }

    /// <summary>A metal base of great conductance under a weak film: what leaves a cell is a ten-millionth of what passes through it.</summary>
    [Fact]
    public void AluminiumBaseInStillAir()
    {
        StackRow[] rows = [Copper("L1", 70 * Micrometre), Laminate(100 * Micrometre, 2), Laminate(1500 * Micrometre, 200)];
        var pad = Rectangle(9e-3, 4e-3, 11e-3, 6e-3);
        var board = Board(whole, rows, parts: [OnPad("Q1", pad, 1)]);
        var field = Solve(board, Surroundings(top: 0, bottom: 5), 0.1 * Millimetre);
        double sum = 0;
        for (int cell = 0; cell < field.Grid.CellCount; cell++) sum += field.BottomFaceCelsius[cell];
        checks.Relative("aluminium base, weak film", Source, "mean rise of the bottom, K", 1 / (5 * Length * Width), sum / field.Grid.CellCount, 1e-5);
    }

    /// <summary>A slanted rim has its own length, not that of the steps of the cells along it.</summary>
    [Fact]
    public void ASlantedRimHasItsTrueLength()
    {
        var (sin, cos) = Math.SinCos(27 * Math.PI / 180);
        Point Turn(Point p) => new(p.X * cos - p.Y * sin, p.X * sin + p.Y * cos);
        var outline = whole.Map(Turn);
        var board = Board(outline, Block, [Pour(outline)], [OnPad("Q1", Rectangle(8e-3, 4e-3, 10e-3, 6e-3).Map(Turn), 1)]);
        var centre = Turn(new(Length / 2, Width / 2));
        Assert.All(new[] { Turn(new(-1e-3, 1e-3)), Turn(new(Length + 1e-3, Width)) }, outside => Assert.True(double.IsNaN(Solve(board, Surroundings(10, 0), 0.5 * Millimetre).At(0, outside.X, outside.Y)), "there is no board beyond the rim"));
        var rim = Solve(board, Surroundings(0, 0, edges: 40), 0.5 * Millimetre);
        checks.Relative("board turned by 27°, film on the rim", Source, "board rise, K", 1 / (40 * 2 * (Length + Width) * Thickness), rim.At(0, centre.X, centre.Y), 0.02);
        var face = Solve(board, Surroundings(10, 0), 0.5 * Millimetre);
        checks.Relative("board turned by 27°, film on top", Source, "board rise, K", 1 / (10 * Length * Width), face.At(0, centre.X, centre.Y), 5e-3);
    }

    [Fact]
    public void TwoResistorPartOnABoard()
    {
        var network = new PartNetwork(
            ["junction", "case"],
            [
                new(0, PartLinkTarget.Terminal, 0, 4),
                new(0, PartLinkTarget.Node, 1, 22),
                new(1, PartLinkTarget.Ambient, -1, 400),
                new(1, PartLinkTarget.Board, -1, 90),
            ],
            [0.9, 0.1]);
        var part = new Part
        {
            Id = "U1",
            Kind = "ic",
            Side = BoardSide.Top,
            Body = Rectangle(4e-3, 3e-3, 9e-3, 7e-3),
            Terminals = [new("GND", 0, Rectangle(5e-3, 4e-3, 8e-3, 6e-3))],
            Watts = 1.4,
            Network = network,
        };
        var board = Board(whole, Block, [Pour(whole)], [part]);
        var field = Solve(board, Surroundings(top: 0, bottom: 100, ambient: 25), 0.5 * Millimetre);
        var (junction, caseRise, boardRise) = TwoResistorRises(boardFilm: 100 * Length * Width);
        checks.Relative("two-resistor part", Source, "junction, °C", 25 + junction, field.Parts[0].NodeCelsius[0], 0.02);
        checks.Relative("two-resistor part", Source, "case, °C", 25 + caseRise, field.Parts[0].NodeCelsius[1], 0.02);
        checks.Relative("two-resistor part", Source, "board, °C", 25 + boardRise, field.Parts[0].TerminalCelsius[0], 0.02);
        checks.Relative("two-resistor part", Source, "heat into the terminal, W", (junction - boardRise) / 4, field.Parts[0].TerminalWatts[0], 0.02);
        checks.Relative("two-resistor part", Source, "heat to the ambient, W", caseRise / 400, field.Heat.PartsWatts, 0.02);
    }

    /// <summary>Junction and case by elimination: 1.26 W into the junction, 0.14 W into the case.</summary>
    private static (double Junction, double Case, double Board) TwoResistorRises(double boardFilm)
    {
        double[,] g =
        {
            { 1 / 4.0 + 1 / 22.0, -1 / 22.0, -1 / 4.0 },
            { -1 / 22.0, 1 / 22.0 + 1 / 400.0 + 1 / 90.0, -1 / 90.0 },
            { -1 / 4.0, -1 / 90.0, 1 / 4.0 + 1 / 90.0 + boardFilm },
        };
        var rises = MathNet.Numerics.LinearAlgebra.Matrix<double>.Build.DenseOfArray(g).Solve(MathNet.Numerics.LinearAlgebra.Vector<double>.Build.Dense([1.26, 0.14, 0]));
        return (rises[0], rises[1], rises[2]);
    }
}
