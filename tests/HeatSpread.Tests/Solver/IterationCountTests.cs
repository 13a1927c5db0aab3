using HeatSpread.Solver;
using Xunit;

namespace HeatSpread.Tests.Solver;

public class IterationCountTests
{
    [Fact]
    public void StaysFlatAsTheGridDoubles()
    {
        List<int> counts = [];
        for (int n = 32, k = 0; k < 4; n *= 2, k++)
        {
            // The same board at half the pitch each time: copper planes above and below laminate, a slot, a row of vias, one strip.
            var grid = Slotted(n, 64e-3 / n);
            var heat = new double[grid.CellCount];
            for (var y = n / 4; y < n / 2; y++) heat.AsSpan((y * n) + (n / 4), n / 4).Fill(16.0 / n / n);
            var report = MultigridSolver.Prepare(grid, 2, TestContext.Current.CancellationToken).Solve(heat, new double[heat.Length], new(1e-8), null, TestContext.Current.CancellationToken);
            Assert.Equal(SolveStatus.Converged, report.Status);
            counts.Add(report.Iterations);
        }

        TestContext.Current.TestOutputHelper?.WriteLine("iterations at n = 32, 64, 128, 256: " + string.Join(", ", counts));
        Assert.True(counts[^1] <= counts[1] + 3, string.Join(", ", counts));
        Assert.True(counts.Max() <= 22, string.Join(", ", counts));
    }

    [Theory]
    [InlineData(false)]
    [InlineData(true)]
    public void RandomBoardsConvergeWithinFortyIterations(bool withParts)
    {
        int worst = 0, worstSeed = 0;
        var total = 0;
        for (var seed = 0; seed < 150; seed++)
        {
            var random = new Random(seed);
            int columns = 3 + random.Next(random.Next(3) == 0 ? 110 : 50), rows = 3 + random.Next(60), sheets = 1 + random.Next(random.Next(5) == 0 ? 40 : 9);
            var grid = RandomNetwork.Board(random, columns, rows, sheets, 0.1e-3 + (random.NextDouble() * 1e-3), withParts ? 1 + random.Next(30) : 0, random.Next(2) == 0, Math.Pow(10, 1 + (random.NextDouble() * 4)));
            var heat = RandomNetwork.Heat(random, grid);
            var report = MultigridSolver.Prepare(grid, 1, TestContext.Current.CancellationToken).Solve(heat, new double[heat.Length], new(1e-8), null, TestContext.Current.CancellationToken);
            Assert.True(report.Status == SolveStatus.Converged, $"seed {seed}: {report}");
            total += report.Iterations;
            if (report.Iterations > worst) (worst, worstSeed) = (report.Iterations, seed);
        }

        TestContext.Current.TestOutputHelper?.WriteLine($"worst of 150: {worst} iterations (seed {worstSeed}), mean {total / 150.0:F1}");
        Assert.True(worst <= 40, $"{worst} iterations at seed {worstSeed}");
    }

    /// <summary>Large enough for cycles in compact conductances; the residual is taken again by plain sums over each link of the network as it is.</summary>
    [Theory]
    [InlineData(0)]
    [InlineData(30)]
    public void LargeRandomBoardsConvergeWithinFortyIterations(int parts)
    {
        for (var seed = 0; seed < 4; seed++)
        {
            var random = new Random(seed);
            var grid = RandomNetwork.Board(random, 200 + random.Next(100), 180, 3 + random.Next(3), 0.1e-3 + (random.NextDouble() * 1e-3), parts, cutouts: seed % 2 == 0, Math.Pow(10, 1 + (random.NextDouble() * 4)));
            var heat = RandomNetwork.Heat(random, grid);
            var temperature = new double[heat.Length];
            using var solver = MultigridSolver.Prepare(grid, 2, TestContext.Current.CancellationToken);
            var report = solver.Solve(heat, temperature, new(1e-8), null, TestContext.Current.CancellationToken);
            Assert.NotNull(solver.Levels!.Levels[0].Compact);
            Assert.All(solver.Levels.Levels.Skip(1), level => Assert.Null(level.Compact));
            Assert.True(report is { Status: SolveStatus.Converged, Iterations: <= 40 }, $"seed {seed}: {report}");
            Assert.InRange(StiffNetworkTests.Residual(grid, heat, temperature), 0, 1.2e-8);
        }
    }

    /// <summary>All heat goes a long way, through conductances that differ from link to link: what rounding temperatures and conductances leaves of the residual grows with the way.</summary>
    [Theory]
    [InlineData(3000, 12)]
    [InlineData(9000, 5)]
    [InlineData(1000, 50)]
    public void ALongWayThroughUnequalConductancesConverges(int columns, int rows)
    {
        const int sheets = 3;
        var random = new Random(9);
        var grid = new ConductanceGrid(columns, rows, sheets);
        for (var i = 0; i < grid.CellCount; i++)
        {
            int x = i % columns, y = i / columns % rows, s = i / (columns * rows);
            float Some(bool isThere) => isThere ? 0.01f * (1 + random.NextSingle()) : 0;
            (grid.East[i], grid.North[i], grid.Below[i], grid.ToSink[i]) = (Some(x + 1 < columns), Some(y + 1 < rows), Some(s + 1 < sheets), Some(x == 0));
        }

        double[] heat = [.. Enumerable.Repeat(1e-6, grid.CellCount)], temperature = new double[grid.CellCount];
        using var solver = MultigridSolver.Prepare(grid, 2, TestContext.Current.CancellationToken);
        Assert.NotNull(solver.Levels!.Levels[0].Compact);
        var report = solver.Solve(heat, temperature, new(1e-8), null, TestContext.Current.CancellationToken);
        Assert.True(report is { Status: SolveStatus.Converged, Iterations: <= 40 }, $"{report}");
    }

    [Fact]
    public void DoesNotGrowWithTwoHundredParts()
    {
        List<int> counts = [];
        foreach (var parts in new[] { 0, 1, 20, 200 })
        {
            var random = new Random(5);
            var grid = RandomNetwork.Board(random, 160, 120, 5, parts: parts);
            var heat = RandomNetwork.Heat(random, grid);
            var report = MultigridSolver.Prepare(grid, 2, TestContext.Current.CancellationToken).Solve(heat, new double[heat.Length], new(1e-8), null, TestContext.Current.CancellationToken);
            Assert.Equal(SolveStatus.Converged, report.Status);
            counts.Add(report.Iterations);
        }

        TestContext.Current.TestOutputHelper?.WriteLine("iterations with 0, 1, 20, 200 parts: " + string.Join(", ", counts));
        Assert.True(counts[^1] <= counts[0] + 8, string.Join(", ", counts));
    }

    /// <summary>Barrels under the parts' pads: what a column conducts from sheet to sheet must not count as a node's, however firm it is.</summary>
    [Fact]
    public void DoesNotGrowWithPartsOverVias()
    {
        List<int> counts = [];
        foreach (var parts in new[] { 0, 200 })
        {
            var random = new Random(5);
            var grid = RandomNetwork.Board(random, 160, 120, 5, parts: parts);
            for (var i = 0; i < grid.CellCount; i++) grid.Below[i] *= 300;
            var heat = RandomNetwork.Heat(random, grid);
            var report = MultigridSolver.Prepare(grid, 2, TestContext.Current.CancellationToken).Solve(heat, new double[heat.Length], new(1e-8), null, TestContext.Current.CancellationToken);
            Assert.Equal(SolveStatus.Converged, report.Status);
            counts.Add(report.Iterations);
        }

        TestContext.Current.TestOutputHelper?.WriteLine("iterations with 0 and 200 parts: " + string.Join(", ", counts));
        Assert.True(counts[1] <= counts[0] + 5, string.Join(", ", counts));
    }

    private static ConductanceGrid Slotted(int n, double pitch)
    {
        var grid = new ConductanceGrid(n, n, 3);
        double[] thickness = [35e-6, 1e-3, 35e-6];
        bool Copper(int x, int y, int s) => s != 1 && !(s == 0 && (x * 16 / n) is 9) && !(s == 2 && (y * 16 / n) is 5 && x * 4 / n != 0);
        double K(int x, int y, int s) => Copper(x, y, s) ? 390 : 0.5;
        for (int s = 0, i = 0; s < 3; s++)
        {
            for (var y = 0; y < n; y++)
            {
                for (var x = 0; x < n; x++, i++)
                {
                    var k = K(x, y, s);
                    if (x + 1 < n) grid.East[i] = (float)(thickness[s] * 2 * k * K(x + 1, y, s) / (k + K(x + 1, y, s)));
                    if (y + 1 < n) grid.North[i] = (float)(thickness[s] * 2 * k * K(x, y + 1, s) / (k + K(x, y + 1, s)));
                    if (s < 2) grid.Below[i] = (float)(pitch * pitch / ((thickness[s] / 2 / k) + (thickness[s + 1] / 2 / K(x, y, s + 1))));
                    if (s != 1) grid.ToSink[i] = (float)(10 * pitch * pitch);
                }
            }
        }

        return grid;
    }
}
