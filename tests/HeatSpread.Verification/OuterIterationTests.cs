using System.Globalization;
using HeatSpread.Boards;
using HeatSpread.Solver;
using HeatSpread.Thermal;
using HeatSpread.Thermal.Boundary;
using HeatSpread.Thermal.Network;
using HeatSpread.Verification.Support;
using Xunit;
using static HeatSpread.Verification.Support.Sketch;

namespace HeatSpread.Verification;

/// <summary>Films that depend on temperature are solved by Newton's method: few passes, each squaring what was missed, and not much more work than one linear solve.</summary>
public class OuterIterationTests
{
    private static Conditions Air(double emissivity, AirOrientation top, AirOrientation bottom) => new()
    {
        AmbientCelsius = 25,
        Top = new StillAirSurface(top, emissivity, 25),
        Bottom = new StillAirSurface(bottom, emissivity, 25),
        EdgesFilm = 0,
        Contacts = [],
        Watts = new Dictionary<int, double>(),
    };

    public static TheoryData<double, AirOrientation, AirOrientation> Surfaces => new()
    {
        { 0.9, AirOrientation.Vertical, AirOrientation.Vertical },
        { 0.9, AirOrientation.FaceUp, AirOrientation.FaceDown },
        { 0, AirOrientation.Vertical, AirOrientation.Vertical },
        { 0, AirOrientation.FaceUp, AirOrientation.FaceDown },
    };

    /// <summary>With linear systems solved to the end, and from a bad first guess, so that the order shows.</summary>
    [Theory]
    [MemberData(nameof(Surfaces))]
    public void ResidualsFallQuadratically(double emissivity, AirOrientation top, AirOrientation bottom)
    {
        var token = TestContext.Current.CancellationToken;
        var (board, _) = SmallBoards.WithEverything();
        var conditions = Air(emissivity, top, bottom);
        var network = ThermalNetwork.Assemble(board, CopperRaster.Build(board, BoardGrid.Over(board.Outline.Bounds, 0.6 * Millimetre), token), token);
        var parts = PartAttachments.Attach(network, conditions);
        var faces = new OuterFaces(network, conditions);
        faces.LineariseAtEvenRise(watts: 6, rim: 0);
        double[] field = new double[network.Grid.CellCount + network.Grid.NodeCount], heat = new double[field.Length];
        var residuals = new List<double>();
        while (residuals.Count < 8 && (residuals.Count == 0 || residuals[^1] > 1e-11))
        {
            heat.AsSpan().Clear();
            parts.AddHeat(heat);
            faces.Put(network.Grid, null, heat);
            using var solver = MultigridSolver.Prepare(network.Grid, 1, token);
            solver.Solve(heat, field, new SolveSettings(1e-11), null, token);
            residuals.Add(faces.Relinearise(field));
        }
        string all = string.Join(", ", residuals.Select(residual => residual.ToString("g2", CultureInfo.InvariantCulture)));
        TestContext.Current.TestOutputHelper?.WriteLine(all);
        Assert.InRange(residuals.Count, 3, 6);
        Assert.True(residuals[^1] <= 1e-11, all);
        // the constant is the relative curvature of the films, of the order of one; below 1e-9 single precision of the links shows
        for (int pass = 1; pass < residuals.Count; pass++) Assert.True(residuals[pass] <= Math.Max(2 * residuals[pass - 1] * residuals[pass - 1], 1e-9), all);
    }

    [Theory]
    [MemberData(nameof(Surfaces))]
    public void AFewPassesAreEnough(double emissivity, AirOrientation top, AirOrientation bottom)
    {
        var (board, _) = SmallBoards.WithEverything();
        var residuals = Solve(board, Air(emissivity, top, bottom), 0.4 * Millimetre).Solve.FilmResiduals;
        Assert.InRange(residuals.Count, 2, 6);
        Assert.True(residuals[^1] <= 1e-8, $"the last pass leaves {residuals[^1]:g2} of the heat");
    }

    /// <summary>Counted in iterations of the linear solver, which do not depend on the machine.</summary>
    [Theory]
    [MemberData(nameof(Surfaces))]
    public void CostsLittleMoreThanOneLinearSolve(double emissivity, AirOrientation top, AirOrientation bottom)
    {
        var (board, _) = SmallBoards.WithEverything();
        var air = Solve(board, Air(emissivity, top, bottom), 0.3 * Millimetre);
        var surfaces = air.Surfaces;
        var linear = Solve(board, Surroundings(surfaces.Top.MeanFilm!.Value, surfaces.Bottom.MeanFilm!.Value), 0.3 * Millimetre);
        Assert.True(air.Solve.Iterations <= 2 * linear.Solve.Iterations, $"{air.Solve.Iterations} iterations against {linear.Solve.Iterations}");
    }

    /// <summary>Without watts the board takes the ambient's temperature; a film of free convection is then nothing, and there is still an answer.</summary>
    [Fact]
    public void NoHeatIsNoRise()
    {
        var (board, _) = SmallBoards.WithEverything(watts: [0, 0, 0]);
        var field = Solve(board, Air(0, AirOrientation.FaceUp, AirOrientation.FaceDown), 0.5 * Millimetre);
        Assert.All(field.RowCelsius[1].Where(float.IsFinite), celsius => Assert.Equal(25, celsius, 1e-4));
    }

    [Fact]
    public void AContactMayHeatABoardInStillAir()
    {
        var (board, _) = SmallBoards.WithEverything(watts: [0, 0, 0]);
        var conditions = Air(0.9, AirOrientation.FaceUp, AirOrientation.FaceDown);
        var hot = new Conditions
        {
            AmbientCelsius = 25,
            Top = conditions.Top,
            Bottom = conditions.Bottom,
            EdgesFilm = 0,
            Watts = conditions.Watts,
            Contacts = [Sink(Rectangle(1e-3, 1e-3, 6e-3, 6e-3), 800, celsius: 80)],
        };
        var field = Solve(board, hot, 0.5 * Millimetre);
        Assert.True(field.Surfaces.Contacts[0].Watts < -0.05, "the contact brings heat in");
        Assert.InRange(Math.Abs(field.Heat.ImbalanceWatts), 0, 1e-6 * -field.Surfaces.Contacts[0].Watts);
    }
}
