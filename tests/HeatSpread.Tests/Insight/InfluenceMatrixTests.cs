using HeatSpread.Boards;
using HeatSpread.Insight;
using HeatSpread.Thermal;
using Xunit;

namespace HeatSpread.Tests.Insight;

public class InfluenceMatrixTests
{
    private static readonly int[] all = [0, 1, 2];

    [Fact]
    public void OtherWattsComeOutAsWhenSolvedAgain()
    {
        var (first, again) = (Solve(Room(1, 0.5, 0.2)), Solve(Room(0.1, 0, 3)));
        var matrix = Of(first);
        Assert.True(matrix.IsLinear);
        double[] watts = [0.1, 0, 3];
        foreach (int read in all)
        {
            double celsius = matrix.RestCelsius[read] + matrix.KelvinPerWatt[read].Zip(watts, (kelvinPerWatt, w) => kelvinPerWatt * w).Sum();
            Assert.Equal(25 + again.RiseOf(again.HeatEntryOf(read)), celsius, 1e-5);
        }
    }

    /// <summary>Reciprocity: a watt in the one part warms the other as a watt in that one warms it.</summary>
    [Fact]
    public void ItIsSymmetric()
    {
        var matrix = Of(Solve(Room(1, 0.5, 0.2)));
        foreach (int read in all)
        {
            foreach (int heated in all) Assert.Equal(matrix.KelvinPerWatt[read][heated], matrix.KelvinPerWatt[heated][read], 1e-6 * matrix.KelvinPerWatt[read][read]);
            Assert.All(matrix.KelvinPerWatt[read], kelvinPerWatt => Assert.InRange(kelvinPerWatt, 0, matrix.KelvinPerWatt[read][read]));
        }
    }

    /// <summary>A contact at another temperature shows in the rest, and nowhere else.</summary>
    [Fact]
    public void ASinkAtAnotherTemperatureIsInTheRest()
    {
        Conditions With(double sink) => Room(1, 0.5, 0.2) with { Contacts = [new("boss", BoardSide.Bottom, SampleBoards.Rectangle(14e-3, 1e-3, 18e-3, 5e-3), 2000, sink)] };
        var (cold, warm) = (Of(Solve(With(25))), Of(Solve(With(45))));
        Assert.Equal(25, cold.RestCelsius[1], 1e-4);
        Assert.InRange(warm.RestCelsius[1], 26, 45);
        Assert.Equal(cold.KelvinPerWatt[0][1], warm.KelvinPerWatt[0][1], 1e-9);
    }

    [Fact]
    public void WhereFilmsDependOnTemperatureItSaysSoAndHoldsForSmallChanges()
    {
        Conditions Air(double watts) => Room(watts, 0.5, 0.2) with { Top = new StillAirSurface(AirOrientation.FaceUp, 0.9, 25) };
        var (solved, again) = (Solve(Air(1)), Solve(Air(1.01)));
        var matrix = Of(solved);
        Assert.False(matrix.IsLinear);
        double expected = again.RiseOf(again.HeatEntryOf(1)) - solved.RiseOf(solved.HeatEntryOf(1));
        Assert.Equal(expected, 0.01 * matrix.KelvinPerWatt[1][0], 5e-3 * expected);
    }

    private static InfluenceMatrix Of(SolvedNetwork solved) => InfluenceMatrix.Of(solved, all, TestContext.Current.CancellationToken);

    private static Conditions Room(double first, double second, double third) =>
        SampleBoards.StillRoom with { Watts = new Dictionary<int, double> { [0] = first, [1] = second, [2] = third } };

    /// <summary>U1 with a junction, U2 whose watts are shared by two nodes, R1 without a network on two pads.</summary>
    private static SolvedNetwork Solve(Conditions conditions)
    {
        var board = SampleBoards.TwoLayers(20e-3, 12e-3);
        Part OnPads(string id, PartNetwork? network, params Region[] pads) =>
            new() { Id = id, Kind = "part", Side = BoardSide.Top, Terminals = [.. pads.Select((pad, i) => new Terminal($"{i + 1}", 0, pad))], Watts = 1, Network = network };
        var two = new PartNetwork(["junction", "case"], [new(0, PartLinkTarget.Terminal, 0, 5), new(0, PartLinkTarget.Node, 1, 20), new(1, PartLinkTarget.Ambient, -1, 300)], [0.7, 0.3]);
        board = board with
        {
            Parts =
            [
                board.Parts[0],
                OnPads("U2", two, SampleBoards.Rectangle(8e-3, 7e-3, 9.7e-3, 9e-3)),
                OnPads("R1", null, SampleBoards.Rectangle(14.1e-3, 7e-3, 15e-3, 8e-3), SampleBoards.Rectangle(16e-3, 7e-3, 18e-3, 8e-3)),
            ],
        };
        var token = TestContext.Current.CancellationToken;
        return ThermalSolve.Run(board, conditions, CopperRaster.Build(board, BoardGrid.Over(board.Outline.Bounds, 0.5e-3), token), threads: 2, progress: null, token);
    }
}
