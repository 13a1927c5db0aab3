using HeatSpread.Solver;
using Xunit;

namespace HeatSpread.Tests.Solver;

public class IslandTests
{
    /// <summary>Two squares of 10 x 10 cells without any conductance between them; only the left one has a sink.</summary>
    private static ConductanceGrid TwoSquares(int nodes = 0)
    {
        var grid = new ConductanceGrid(21, 10, 2, nodes);
        for (var i = 0; i < grid.CellCount; i++)
        {
            int x = i % 21, y = i / 21 % 10;
            if (x == 10) continue;
            if (x is not 9 and not 20) grid.East[i] = 0.01f;
            if (y < 9) grid.North[i] = 0.01f;
            if (i < 210) grid.Below[i] = 0.02f;
            if (x < 10 && i < 210) grid.ToSink[i] = 1e-4f;
        }

        return grid;
    }

    private static (SolveReport Report, double[] Temperature, MultigridSolver Solver) Solve(ConductanceGrid grid, params (int Unknown, double Watts)[] sources)
    {
        double[] heat = new double[grid.CellCount + grid.NodeCount], temperature = new double[heat.Length];
        foreach (var (unknown, watts) in sources) heat[unknown] = watts;
        var solver = MultigridSolver.Prepare(grid, 2, TestContext.Current.CancellationToken);
        return (solver.Solve(heat, temperature, new(), null, TestContext.Current.CancellationToken), temperature, solver);
    }

    /// <summary>In pieces without a sink, and in absent cells.</summary>
    [Theory]
    [InlineData(false, double.NaN)]
    [InlineData(false, 7)]
    [InlineData(true, 7)]
    public void AGuessInColdCellsIsSetToZeroWhateverComesOfTheSolve(bool isCancelled, double guess)
    {
        var grid = TwoSquares();
        foreach (var withIsland in new[] { true, false })
        {
            if (!withIsland)
            {
                foreach (var values in new[] { grid.East, grid.North, grid.Below })
                {
                    for (var i = 0; i < grid.CellCount; i++) values[i] = i % 21 > 10 ? 0 : values[i];
                }
            }

            double[] heat = new double[grid.CellCount], temperature = new double[grid.CellCount];
            heat[0] = 1;
            for (var i = 0; i < grid.CellCount; i++) temperature[i] = i % 21 >= 10 ? guess : 0;
            using var solver = MultigridSolver.Prepare(grid, 2, TestContext.Current.CancellationToken);
            Assert.Equal(withIsland ? 1 : 0, solver.FloatingPieces.Count);
            var report = solver.Solve(heat, temperature, new(), null, isCancelled ? new CancellationToken(true) : TestContext.Current.CancellationToken);
            Assert.Equal(isCancelled ? SolveStatus.Cancelled : SolveStatus.Converged, report.Status);
            for (var i = 0; i < grid.CellCount; i++)
            {
                if (i % 21 >= 10) Assert.Equal(0, temperature[i]);
                else if (!isCancelled) Assert.True(temperature[i] > 0);
            }
        }
    }

    [Fact]
    public void HeatedIslandIsNamedBeforeSolving()
    {
        var (report, _, _) = Solve(TwoSquares(), (0, 1), (11, 1));
        Assert.Equal(SolveStatus.Unbounded, report.Status);
        Assert.Equal(0, report.Iterations);
        var island = Assert.Single(report.Islands);
        Assert.InRange(island % 21, 11, 20);
    }

    [Fact]
    public void ColdIslandIsNamedAndStaysAtZero()
    {
        var (report, temperature, solver) = Solve(TwoSquares(), (0, 1));
        Assert.Equal(SolveStatus.Converged, report.Status);
        Assert.Empty(report.Islands);
        Assert.InRange(Assert.Single(solver.FloatingPieces) % 21, 11, 20);
        Assert.True(temperature[0] > 0);
        for (var i = 0; i < temperature.Length; i++)
        {
            if (i % 21 >= 10) Assert.Equal(0, temperature[i]);
        }
    }

    /// <summary>Both faces lead to the sink, so that every column has a link to it; the piece inside has none.</summary>
    [Theory]
    [InlineData(3, 1)]
    [InlineData(17, 1)]
    [InlineData(37, 1)]
    [InlineData(17, 2)]
    [InlineData(37, 2)]
    public void APieceInsideIsFoundBetweenFacesThatLeadToTheSink(int column, int sheet)
    {
        const int columns = 40, rows = 9, plane = columns * rows;
        var grid = new ConductanceGrid(columns, rows, 4);
        for (var i = 0; i < grid.CellCount; i++)
        {
            if (i % columns < columns - 1) grid.East[i] = 0.01f;
            if (i % plane / columns < rows - 1) grid.North[i] = 0.01f;
            if (i < 3 * plane) grid.Below[i] = 0.02f;
            if (i / plane is 0 or 3) grid.ToSink[i] = 1e-4f;
        }

        Assert.Empty(Solve(grid, (0, 1)).Solver.FloatingPieces);
        int cell = (sheet * plane) + (4 * columns) + column, next = cell + 1;
        (grid.East[cell - 1], grid.East[next]) = (0, 0);
        foreach (var each in new[] { cell, next }) (grid.North[each], grid.North[each - columns], grid.Below[each], grid.Below[each - plane]) = (0, 0, 0, 0);
        var (report, _, _) = Solve(grid, (0, 1), (next, 1));
        Assert.Equal(SolveStatus.Unbounded, report.Status);
        Assert.Contains(Assert.Single(report.Islands), new[] { cell, next });
    }

    [Fact]
    public void ANodeMayBeTheOnlyWayOut()
    {
        var grid = TwoSquares(1);
        grid.NodeCellLinks.Add(new(0, 15, 0.5));
        grid.NodeCellLinks.Add(new(0, 5, 0.5));
        var (report, temperature, solver) = Solve(grid, (12, 1));
        Assert.Equal(SolveStatus.Converged, report.Status);
        Assert.Empty(solver.FloatingPieces);
        Assert.Equal(1, report.HeatOut, 1e-6);
        Assert.True(temperature[12] > temperature[grid.CellCount] && temperature[grid.CellCount] > temperature[0]);
    }

    [Fact]
    public void HeatInAnAbsentCellOrALooseNodeIsUnbounded()
    {
        Assert.Equal(SolveStatus.Unbounded, Solve(TwoSquares(), (10, 1)).Report.Status);
        var grid = TwoSquares(2);
        grid.NodeNodeLinks.Add(new(0, 1, 1));
        var (report, _, solver) = Solve(grid, (grid.CellCount, 1));
        Assert.Equal(SolveStatus.Unbounded, report.Status);
        Assert.InRange(Assert.Single(report.Islands), grid.CellCount, grid.CellCount + 1);
        Assert.Equal(2, solver.FloatingPieces.Count);
    }

    [Fact]
    public void WithoutAnySinkAllIsAnIsland()
    {
        var grid = TwoSquares();
        Array.Clear(grid.ToSink);
        var (report, _, _) = Solve(grid, (0, 1), (11, -1));
        Assert.Equal(SolveStatus.Unbounded, report.Status);
        Assert.Equal(2, report.Islands.Count);
    }

    [Fact]
    public void OneSinkAtOneCornerIsEnough()
    {
        var grid = TwoSquares();
        Array.Clear(grid.ToSink);
        grid.ToSink[0] = 1e-3f;
        var (report, temperature, _) = Solve(grid, (9 + (9 * 21), 1));
        Assert.Equal(SolveStatus.Converged, report.Status);
        Assert.Equal(1000, temperature[0], 1e-3);
    }

    /// <summary>Boards with cutouts, single absent cells, stretches without a sink, and nodes on them or on nothing: what is seen at once is what the search finds.</summary>
    [Fact]
    public void WhatIsSeenAtOnceIsWhatTheSearchFinds()
    {
        using var team = new ThreadTeam(1, TestContext.Current.CancellationToken);
        var seenAtOnce = 0;
        for (var seed = 0; seed < 300; seed++)
        {
            var random = new Random(seed);
            var board = RandomNetwork.Board(random, random.Next(1, 50), random.Next(1, 20), random.Next(1, 6), cutouts: seed % 2 == 0);
            var grid = new ConductanceGrid(board.Columns, board.Rows, board.Sheets, nodeCount: seed % 3);
            int plane = grid.Columns * grid.Rows;
            for (var i = 0; i < grid.CellCount; i++)
            {
                (grid.East[i], grid.North[i], grid.Below[i], grid.ToSink[i]) = (board.East[i], board.North[i], board.Below[i], board.ToSink[i]);
                // Both faces have films on most boards.
                if (seed % 4 != 0 && (i < plane || i >= grid.CellCount - plane) && grid.East[i] + grid.North[i] + grid.Below[i] > 0) grid.ToSink[i] = 1e-5f;
            }

            if (seed % 5 == 0) Array.Clear(grid.Below, 0, Math.Min(plane / 3, grid.Below.Length - plane));
            for (var k = 0; k < 2 * grid.NodeCount; k++) grid.NodeCellLinks.Add(new(random.Next(grid.NodeCount), random.Next(grid.CellCount), seed % 7 == 0 ? 0 : 0.1));
            if (grid.NodeCount == 2) grid.NodeNodeLinks.Add(new(0, 1, 0.1));
            var searched = Islands.Search(grid, TestContext.Current.CancellationToken);
            if (Islands.AtOnce(grid, team) is not { } found) continue;
            seenAtOnce++;
            Assert.Equal(searched.Any, found.Any);
            Assert.Equal(searched.Representatives, found.Representatives);
            for (var i = 0; i < grid.CellCount + grid.NodeCount; i++) Assert.True(searched.Contains(i) == found.Contains(i), $"unknown {i}, seed {seed}");
        }

        Assert.InRange(seenAtOnce, 50, 290);
    }

    /// <summary>A weakly cooled board with holes and a part is one cluster, whose temperature is set as a whole; absent cells have none, whatever the first guess.</summary>
    [Fact]
    public void AbsentCellsStayAtZeroBesideAClusterAndAPart()
    {
        var grid = RandomNetwork.Board(new Random(4), 40, 30, 4, parts: 1, cutouts: true, film: 0.01);
        var heat = RandomNetwork.Heat(new Random(5), grid);
        var temperature = Enumerable.Repeat(25.0, heat.Length).ToArray();
        using var solver = MultigridSolver.Prepare(grid, 1, TestContext.Current.CancellationToken);
        Assert.Equal(SolveStatus.Converged, solver.Solve(heat, temperature, new(), null, TestContext.Current.CancellationToken).Status);
        var islands = Islands.Search(grid, TestContext.Current.CancellationToken);
        Assert.Contains(true, Enumerable.Range(0, grid.CellCount).Select(islands.Contains));
        for (var i = 0; i < temperature.Length; i++) Assert.True(islands.Contains(i) ? temperature[i] == 0 : temperature[i] > 1, $"unknown {i}: {temperature[i]}");
    }
}
