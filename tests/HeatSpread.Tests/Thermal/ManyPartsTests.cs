using HeatSpread.Boards;
using HeatSpread.Thermal;
using Xunit;

namespace HeatSpread.Tests.Thermal;

/// <summary>Parts' networks are unknowns of the same system: however many there are, the solver takes no more iterations for them.</summary>
public sealed class ManyPartsTests
{
    private const double Side = 0.1;

    [Fact]
    public void Two_hundred_parts_with_a_thousand_terminals_take_no_more_iterations()
    {
        var (one, none) = (Solve(1).Solve.Iterations, Solve(0).Solve.Iterations);
        var many = Solve(200);
        Assert.Equal(200, many.Parts.Count);
        Assert.Equal(1000, many.Parts.Sum(part => part.TerminalCelsius.Count));
        Assert.True(many.Solve.Iterations <= Math.Max(one, none) + 2, $"{many.Solve.Iterations} iterations with 200 parts, {one} with one, {none} without");
        Assert.InRange(Math.Abs(many.Heat.ImbalanceWatts), 0, 1e-6 * many.Heat.DissipatedWatts);
        Assert.All(many.Parts, part => Assert.Equal(part.Watts, part.Paths.Sum(path => path.Watts), 1e-6 * many.Heat.DissipatedWatts));
    }

    private static TemperatureField Solve(int parts)
    {
        var board = BoardOf(parts);
        var conditions = new Conditions
        {
            AmbientCelsius = 25,
            Top = new FilmSurface(12),
            Bottom = new FilmSurface(9),
            EdgesFilm = 0,
            Contacts = [],
            Watts = new Dictionary<int, double>(),
        };
        var raster = CopperRaster.Build(board, BoardGrid.Over(board.Outline.Bounds, 0.5e-3), TestContext.Current.CancellationToken);
        return ThermalSolve.Run(board, conditions, raster, threads: 2, progress: null, TestContext.Current.CancellationToken).Read();
    }

    /// <summary>Parts in rows of 20, each a junction, a case and a base over five pads; a body without a network where there is none, so that the board is heated all the same.</summary>
    private static Board BoardOf(int parts)
    {
        var whole = Rectangle(0, 0, Side, Side);
        StackRow Copper(string name) => new() { Kind = StackRowKind.Copper, Name = name, Thickness = 35e-6, Fill = new Conductivity(0.8, 0.3), CopperConductivity = 390 };
        var core = new StackRow { Kind = StackRowKind.Dielectric, Thickness = 0.5e-3, Fill = new Conductivity(0.8, 0.3) };
        var random = new Random(5);
        CopperFeature Feature(int layer, Region area) => new() { Layer = layer, Net = layer, Area = area };
        var tracks = Enumerable.Range(0, 150).Select(_ => Feature(0, Rectangle(random.NextDouble() * 0.08, random.NextDouble() * 0.09, random.NextDouble() * 0.02 + 0.08, random.NextDouble() * 0.01 + 0.09)));
        return new Board
        {
            Name = "many parts",
            Revision = "",
            Outline = whole,
            Rows = [Copper("L1"), core, Copper("L2")],
            Layers = [new CopperLayer("L1", 0), new CopperLayer("L2", 2)],
            Nets = [new Net("A", [], false), new Net("B", [], false)],
            Copper = [.. tracks.Take(3), Feature(1, whole)],
            Vias = [],
            Parts = parts == 0
                ? [new Part { Id = "H1", Kind = "heater", Side = BoardSide.Top, Body = whole, Terminals = [], Watts = 5 }]
                : [.. Enumerable.Range(0, parts).Select(i => Part(i, 5.0 / parts))],
            Probes = [],
        };
    }

    private static Part Part(int index, double watts)
    {
        double x = 2e-3 + index % 20 * 4.8e-3, y = 3e-3 + index / 20 * 9.5e-3;
        Region Pad(int pin) => pin == 4 ? Rectangle(x + 0.8e-3, y + 0.8e-3, x + 2.2e-3, y + 2.2e-3) : Rectangle(x + pin % 2 * 2.6e-3, y + pin / 2 * 2.6e-3, x + pin % 2 * 2.6e-3 + 0.4e-3, y + pin / 2 * 2.6e-3 + 0.4e-3);
        PartLink[] links =
        [
            new(0, PartLinkTarget.Node, 1, 15), new(0, PartLinkTarget.Node, 2, 3), new(1, PartLinkTarget.Ambient, -1, 500), new(1, PartLinkTarget.Board, -1, 80),
            .. Enumerable.Range(0, 5).Select(pin => new PartLink(2, PartLinkTarget.Terminal, pin, pin == 4 ? 1 : 60)),
        ];
        return new Part
        {
            Id = $"U{index + 1}",
            Kind = "ic",
            Side = index % 3 == 0 ? BoardSide.Bottom : BoardSide.Top,
            Body = Rectangle(x, y, x + 3e-3, y + 3e-3),
            Terminals = [.. Enumerable.Range(0, 5).Select(pin => new Terminal($"{pin}", pin % 2, Pad(pin)))],
            Watts = watts,
            Network = new PartNetwork(["junction", "case", "base"], links, [0.9, 0.1, 0]),
        };
    }

    private static Region Rectangle(double left, double lower, double right, double upper) =>
        new([new Polygon([new(left, lower), new(right, lower), new(right, upper), new(left, upper)])]);
}
