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
}
