using HeatSpread.Boards;
using HeatSpread.Tests.Insight;
using HeatSpread.Thermal;
using Xunit;

namespace HeatSpread.Tests.Thermal;

public class SolvedNetworkTests
{
    private static readonly Board board = SampleBoards.TwoLayers(20e-3, 12e-3);

    [Fact]
    public void AReadingIsItsAdjointTimesTheHeat()
    {
        var solved = Solve(SampleBoards.StillRoom);
        var heat = new double[solved.Rise.Length];
        solved.Parts.AddHeat(heat);
        var (column, row) = solved.Raster.Grid.CellAt(board.Probes[0].At);
        int probed = solved.UnknownOf(board.Layers[board.Probes[0].Layer].Row, row * solved.Raster.Grid.Columns + column);
        foreach (var reading in new[] { solved.HottestOf(0), solved.MeanOf(0, 0), LinearReading.Of(probed) })
        {
            double[] adjoint = solved.Adjoint(reading, TestContext.Current.CancellationToken);
            Assert.Equal(reading.On(solved.Rise), adjoint.Zip(heat, (kelvinPerWatt, watts) => kelvinPerWatt * watts).Sum(), 1e-6 * reading.On(solved.Rise));
        }
    }

    [Fact]
    public void TheHottestOfAPartIsWhatTheFieldReports()
    {
        var solved = Solve(SampleBoards.StillRoom);
        Assert.Equal(solved.Read().Parts[0].MaxCelsius, 25 + solved.HottestOf(0).On(solved.Rise), 1e-9);
    }

    /// <summary>A tenth of a watt more against the tangents: second order in the change is left.</summary>
    [Fact]
    public void TangentsOfFilmsThatDependOnTemperatureTellSmallChanges()
    {
        SolvedNetwork At(double watts) => Solve(new Conditions
        {
            AmbientCelsius = 25,
            Top = new StillAirSurface(AirOrientation.FaceUp, 0.9, 25),
            Bottom = new StillAirSurface(AirOrientation.FaceDown, 0.9, 25),
            EdgesFilm = 0,
            Contacts = [],
            Watts = new Dictionary<int, double> { [0] = watts },
        });
        var (less, more) = (At(0.5), At(0.501));
        double expected = (more.HottestOf(0).On(more.Rise) - less.HottestOf(0).On(less.Rise)) / 0.001;
        double[] adjoint = less.Adjoint(less.HottestOf(0), TestContext.Current.CancellationToken);
        Assert.False(less.IsLinear);
        Assert.Equal(expected, adjoint[less.HottestOf(0).Unknowns[0]], 2e-3 * expected);
    }

    private static SolvedNetwork Solve(Conditions conditions)
    {
        var token = TestContext.Current.CancellationToken;
        var raster = CopperRaster.Build(board, BoardGrid.Over(board.Outline.Bounds, 0.5e-3), token);
        return ThermalSolve.Run(board, conditions, raster, threads: 2, progress: null, token);
    }
}
