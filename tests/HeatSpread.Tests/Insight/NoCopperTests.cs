using HeatSpread.Boards;
using HeatSpread.Insight;
using Xunit;
using static HeatSpread.Tests.Thermal.TestBoards;

namespace HeatSpread.Tests.Insight;

/// <summary>Boards at the edge of what is legal.</summary>
public sealed class NoCopperTests
{
    private static readonly Conditions Air = new()
    {
        AmbientCelsius = 25,
        Top = new FilmSurface(10),
        Bottom = new FilmSurface(10),
        EdgesFilm = 0,
        Contacts = [],
        Watts = new Dictionary<int, double>(),
    };

    private static BoardSolution Solve(double watts) => BoardAnalysis.Analyse(
        new Board
        {
            Name = "",
            Revision = "",
            Outline = Box(0, 0, 20, 15),
            Layers = [],
            Nets = [],
            Copper = [],
            Vias = [],
            Probes = [],
            Rows = [new StackRow { Kind = StackRowKind.Dielectric, Thickness = 1e-3, Fill = new Conductivity(1, 1) }],
            Parts = [new Part { Id = "R1", Kind = "", Side = BoardSide.Top, Body = Box(0, 0, 20, 15), Terminals = [], Watts = watts }],
        },
        Air,
        new GridChoice(0.5e-3, null),
        1,
        null,
        TestContext.Current.CancellationToken);

    /// <summary>Even heat on an even plate: 0.3 W over two sides of 300 mm² at 10 W/(m²·K) is 50 K, and half the plate's 1 mm drops 0.25 K more in the middle (500 W/m² from the middle out, 1 W/(m·K)).</summary>
    [Fact]
    public void A_board_without_copper_is_solved_and_has_no_hot_spots()
    {
        var solution = Solve(0.3);
        Assert.Equal(25 + 50 + 0.25, solution.Peak.Celsius, 0.05);
        Assert.Empty(solution.HotSpots);
    }

    [Fact]
    public void A_board_without_heat_is_at_ambient()
    {
        var solution = Solve(0);
        Assert.Equal(25, solution.Peak.Celsius, 1e-9);
        Assert.Empty(solution.HotSpots);
    }
}
