using HeatSpread.Solver;
using Xunit;

namespace HeatSpread.Tests.Solver;

public class SolveStatusTests
{
    private static (ConductanceGrid Grid, double[] Heat) Case(int n = 24)
    {
        var grid = RandomNetwork.Board(new Random(3), n, n, 4);
        return (grid, RandomNetwork.Heat(new Random(4), grid));
    }

    private static SolveReport Solve(ConductanceGrid grid, double[] heat, double[]? temperature = null, SolveSettings? settings = null) =>
        MultigridSolver.Prepare(grid, 2, TestContext.Current.CancellationToken).Solve(heat, temperature ?? new double[heat.Length], settings ?? new(), null, TestContext.Current.CancellationToken);

    [Fact]
    public void ConvergedWithItsResidualAndBalance()
    {
        var (grid, heat) = Case();
        var report = Solve(grid, heat);
        Assert.Equal(SolveStatus.Converged, report.Status);
        Assert.InRange(report.RelativeResidual, 0, 1e-9);
        Assert.Equal(heat.Sum(), report.HeatIn, 12);
        Assert.Equal(report.HeatIn, report.HeatOut, 1e-6 * report.HeatIn);
        Assert.Empty(report.Islands);
    }

    [Fact]
    public void NoHeatIsNoRise()
    {
        var (grid, heat) = Case();
        Array.Clear(heat);
        var temperature = Enumerable.Repeat(7.0, heat.Length).ToArray();
        Assert.Equal(SolveStatus.Converged, Solve(grid, heat, temperature).Status);
        Assert.All(temperature, t => Assert.Equal(0, t));
    }

    [Fact]
    public void IterationLimit()
    {
        var (grid, heat) = Case();
        var report = Solve(grid, heat, settings: new(1e-10, 2));
        Assert.Equal(SolveStatus.IterationLimit, report.Status);
        Assert.Equal(2, report.Iterations);
        Assert.True(report.RelativeResidual > 1e-10);
    }

    [Fact]
    public void StagnatedWhereDoublePrecisionEnds()
    {
        // A long bar with its sink at one end: the rounding of a temperature is heat in the links beside it, and their sum exceeds the tolerance.
        var grid = new ConductanceGrid(20_000, 1, 1);
        grid.East.AsSpan(0, grid.CellCount - 1).Fill(1);
        grid.ToSink[0] = 1;
        var heat = new double[grid.CellCount];
        heat[^1] = 1;
        var report = Solve(grid, heat, settings: new(1e-12));
        Assert.Equal(SolveStatus.Stagnated, report.Status);
        Assert.True(report.RelativeResidual > 1e-12);
    }

    [Fact]
    public void CancelledBeforeAndWithin()
    {
        var (grid, heat) = Case(100);
        var solver = MultigridSolver.Prepare(grid, 1, TestContext.Current.CancellationToken);
        Assert.Equal(SolveStatus.Cancelled, solver.Solve(heat, new double[heat.Length], new(), null, new CancellationToken(true)).Status);
        using var source = new CancellationTokenSource();
        var report = solver.Solve(heat, new double[heat.Length], new(1e-11), new CancelAt(3, source), source.Token);
        Assert.Equal(SolveStatus.Cancelled, report.Status);
        Assert.Equal(3, report.Iterations);
        Assert.Throws<OperationCanceledException>(() => MultigridSolver.Prepare(grid, 1, new CancellationToken(true)));
    }

    [Fact]
    public void ProgressIsToldOfEveryIteration()
    {
        var (grid, heat) = Case();
        var log = new Log();
        var report = MultigridSolver.Prepare(grid, 1, TestContext.Current.CancellationToken).Solve(heat, new double[heat.Length], new(), log, TestContext.Current.CancellationToken);
        Assert.Equal(Enumerable.Range(1, report.Iterations), log.Seen.Select(s => s.Iteration));
        Assert.True(log.Seen[^1].RelativeResidual < 1e-8);
    }

    [Theory]
    [InlineData(float.NaN)]
    [InlineData(float.PositiveInfinity)]
    [InlineData(-1e-6f)]
    public void BadConductanceIsABadSystem(float value)
    {
        foreach (var place in new Func<ConductanceGrid, float[]>[] { g => g.East, g => g.North, g => g.Below, g => g.ToSink })
        {
            var (grid, heat) = Case();
            place(grid)[30] = value;
            Assert.Equal(SolveStatus.BadSystem, Solve(grid, heat).Status);
        }
    }

    [Fact]
    public void BadLinkHeatGuessOrEdgeIsABadSystem()
    {
        var grid = new ConductanceGrid(3, 3, 1, 1);
        grid.ToSink[0] = 1;
        grid.NodeCellLinks.Add(new(0, 0, -1));
        Assert.Equal(SolveStatus.BadSystem, Solve(grid, new double[10]).Status);
        grid.NodeCellLinks[0] = new(0, 0, 1);
        Assert.Equal(SolveStatus.Converged, Solve(grid, new double[10]).Status);
        Assert.Equal(SolveStatus.BadSystem, Solve(grid, [double.NaN, .. new double[9]]).Status);
        Assert.Equal(SolveStatus.BadSystem, Solve(grid, new double[10], [double.NaN, .. new double[9]]).Status);
        grid.East[2] = 1;
        Assert.Equal(SolveStatus.BadSystem, Solve(grid, new double[10]).Status);
    }

    /// <summary>A conductance of a cell in the last column, row or sheet has no other end, wherever the cell is in it; in the larger network, whose rows two threads share, one cell in so many is tried.</summary>
    [Theory]
    [InlineData(4, 5, 3, 1)]
    [InlineData(160, 130, 3, 997)]
    public void AConductanceOverAnyEdgeIsABadSystem(int columns, int rows, int sheets, int every)
    {
        var grid = RandomNetwork.Board(new Random(1), columns, rows, sheets);
        double[] heat = [1, .. new double[(columns * rows * sheets) - 1]];
        Assert.Equal(SolveStatus.Converged, Solve(grid, heat).Status);
        int edges = 0, open = 0;
        for (var i = 0; i < grid.CellCount; i++)
        {
            int x = i % columns, y = i / columns % rows, s = i / (columns * rows);
            foreach (var (values, isEdge) in new[] { (grid.East, x == columns - 1), (grid.North, y == rows - 1), (grid.Below, s == sheets - 1) })
            {
                if (!isEdge || edges++ % every != 0) continue;
                values[i] = 1e-3f;
                Assert.Equal(SolveStatus.BadSystem, Solve(grid, heat).Status);
                values[i] = 0;
                open++;
            }
        }

        Assert.Equal((rows * sheets) + (columns * sheets) + (columns * rows), edges);
        Assert.Equal((edges + every - 1) / every, open);
    }

    /// <summary>Without a cell that is absent too, where heat and guess are looked at by the threads of the solve.</summary>
    [Theory]
    [InlineData(double.NaN)]
    [InlineData(double.PositiveInfinity)]
    public void BadHeatOrGuessInAWholeNetworkIsABadSystem(double bad)
    {
        var random = new Random(3);
        var grid = RandomNetwork.Board(random, 70, 60, 3);
        for (var column = 0; column < 70 * 60; column++) grid.ToSink[column] = 1e-3f;
        Assert.Empty(MultigridSolver.Prepare(grid, 2, TestContext.Current.CancellationToken).FloatingPieces);
        foreach (var at in new[] { 0, 8191, 8192, grid.CellCount - 1 })
        {
            double[] heat = new double[grid.CellCount], harmed = new double[grid.CellCount];
            harmed[at] = bad;
            Assert.Equal(SolveStatus.BadSystem, Solve(grid, harmed).Status);
            Assert.Equal(SolveStatus.BadSystem, Solve(grid, heat, [.. harmed]).Status);
            heat[0] = 1;
            Assert.Equal(SolveStatus.BadSystem, Solve(grid, heat, [.. harmed]).Status);
            Assert.Equal(SolveStatus.Converged, Solve(grid, heat).Status);
        }
    }

    [Fact]
    public void CallersMistakesAreArgumentExceptions()
    {
        var (grid, heat) = Case();
        Assert.Throws<ArgumentException>(() => Solve(grid, heat[1..]));
        Assert.Throws<ArgumentOutOfRangeException>(() => Solve(grid, heat, settings: new(1e-13)));
        Assert.Throws<ArgumentOutOfRangeException>(() => Solve(grid, heat, settings: new(double.NaN)));
        Assert.Throws<ArgumentOutOfRangeException>(() => Solve(grid, heat, settings: new(1e-8, 0)));
        Assert.Throws<ArgumentOutOfRangeException>(() => MultigridSolver.Prepare(grid, 0, TestContext.Current.CancellationToken));
        grid.NodeCellLinks.Add(new(0, 0, 1));
        Assert.Throws<ArgumentException>(() => MultigridSolver.Prepare(grid, 1, TestContext.Current.CancellationToken));
    }

    private sealed class CancelAt(int iteration, CancellationTokenSource source) : IProgress<(int Iteration, double RelativeResidual)>
    {
        public void Report((int Iteration, double RelativeResidual) value)
        {
            if (value.Iteration == iteration) source.Cancel();
        }
    }

    private sealed class Log : IProgress<(int Iteration, double RelativeResidual)>
    {
        public List<(int Iteration, double RelativeResidual)> Seen { get; } = [];

        public void Report((int Iteration, double RelativeResidual) value) => Seen.Add(value);
    }
}
