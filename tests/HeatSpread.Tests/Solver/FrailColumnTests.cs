using HeatSpread.Solver;
using HeatSpread.Solver.Multigrid;
using Xunit;

namespace HeatSpread.Tests.Solver;

/// <summary>Columns of cells with next to no conductance within, as along outlines: harmless by the hundred, but a set of them may hang on the rest by a link that single precision does not see.</summary>
public sealed class FrailColumnTests
{
    private const float Weak = 1e-9f;

    private static (SolveReport Report, double[] Temperature) Solve(ConductanceGrid grid, int heated, double[]? guess = null)
    {
        var heat = new double[grid.CellCount + grid.NodeCount];
        heat[heated] = 1;
        var temperature = guess ?? new double[heat.Length];
        using var solver = MultigridSolver.Prepare(grid, 1, TestContext.Current.CancellationToken);
        return (solver.Solve(heat, temperature, new(), null, TestContext.Current.CancellationToken), temperature);
    }

    /// <summary>Whether it is seen, without the search of all strengths, that the pieces of the plan are all the clusters.</summary>
    private static bool IsSeenAtOnce(ConductanceGrid grid)
    {
        using var team = new ThreadTeam(1, TestContext.Current.CancellationToken);
        Assert.True(NetworkCheck.IsSound(grid, team, out var range));
        var network = new Conductances(grid.Columns, grid.Rows, grid.Sheets, grid.Columns, grid.Columns * grid.Rows, grid.East, grid.North, grid.Below, grid.ToSink, []);
        return PlanPieces.Find(grid, network, [], range, team, new ScratchPool(0)) != null;
    }

    /// <summary>Two squares of one sheet in a large box, tied by a weak link; the cold one has the sink. What passes the link is all the heat.</summary>
    [Fact]
    public void Squares_of_one_sheet_in_a_large_box()
    {
        const int size = 100;
        var grid = new ConductanceGrid(size, size, 2);
        for (var y = 0; y < 10; y++)
        {
            for (var x = 0; x < 20; x++)
            {
                var i = (y * size) + x;
                if (x is not 9 and not 19) grid.East[i] = 1;
                if (y < 9) grid.North[i] = 1;
            }
        }

        grid.East[(5 * size) + 9] = Weak;
        grid.ToSink[0] = 1;
        Assert.False(IsSeenAtOnce(grid));
        var (report, temperature) = Solve(grid, (3 * size) + 15);
        Assert.Equal(SolveStatus.Converged, report.Status);
        Assert.Equal(1, (temperature[(5 * size) + 10] - temperature[(5 * size) + 9]) * Weak, 1e-6);
    }

    /// <summary>Two columns of a sound board that are firmly joined to each other alone.</summary>
    [Fact]
    public void Two_columns_tied_to_each_other_alone()
    {
        const int size = 20, plane = size * size;
        var grid = new ConductanceGrid(size, size, 3);
        for (var i = 0; i < grid.CellCount; i++)
        {
            int x = i % size, y = i % plane / size;
            var apart = y == 0 && x < 2;
            grid.East[i] = x == size - 1 ? 0 : x == 0 && y == 0 ? (i < plane ? 1 : Weak) : apart ? Weak : 1;
            grid.North[i] = y == size - 1 ? 0 : apart ? Weak : 1;
            if (i < 2 * plane) grid.Below[i] = apart && i >= plane ? Weak : 1;
            if (i < plane && !apart) grid.ToSink[i] = 1e-3f;
        }

        Assert.False(IsSeenAtOnce(grid));
        var (report, temperature) = Solve(grid, 0);
        Assert.Equal(SolveStatus.Converged, report.Status);
        Assert.Equal(report.HeatIn, report.HeatOut, 1e-6);
        // Of the pair six lateral links and two downwards lead to the rest, all weak.
        Assert.Equal(1 / Weak / 8, temperature[0], 0.2 / Weak / 8);
    }

    /// <summary>A board with a fringe of columns that hold a millionth of a cell: nothing to search, and nothing lost.</summary>
    [Fact]
    public void A_fringe_of_next_to_nothing_is_solved_like_the_rest()
    {
        const int columns = 60, rows = 50, plane = columns * rows;
        var grid = new ConductanceGrid(columns, rows, 3, nodeCount: 1);
        for (var i = 0; i < grid.CellCount; i++)
        {
            int x = i % columns, y = i % plane / columns;
            var share = x == columns - 1 ? 1e-6f : 1;
            grid.East[i] = x == columns - 1 ? 0 : 0.01f * (x == columns - 2 ? 1e-6f : 1);
            grid.North[i] = y == rows - 1 ? 0 : 0.01f * share;
            if (i < 2 * plane) grid.Below[i] = 1e-4f * share;
            if (i < plane) grid.ToSink[i] = 1e-6f * share;
        }

        grid.NodeCellLinks.Add(new(0, (20 * columns) + 20, 0.1));
        Assert.True(IsSeenAtOnce(grid));
        var (report, temperature) = Solve(grid, grid.CellCount);
        Assert.Equal(SolveStatus.Converged, report.Status);
        Assert.InRange(report.Iterations, 1, 20);
        Assert.Equal(1, Enumerable.Range(0, plane).Sum(i => grid.ToSink[i] * temperature[i]), 1e-6);
    }

    /// <summary>A cold piece without a sink, of conductances in double, and a guess that differs within it.</summary>
    [Fact]
    public void A_guess_within_a_cold_piece_does_no_harm()
    {
        var exact = new DoubleConductances(21, 10, 1);
        for (var i = 0; i < exact.East.Length; i++)
        {
            var x = i % 21;
            if (x == 10) continue;
            if (x is not 9 and not 20) exact.East[i] = 0.01;
            if (i / 21 < 9) exact.North[i] = 0.01;
            if (x < 10) exact.ToSink[i] = 1e-4;
        }

        var random = new Random(1);
        var (report, temperature) = Solve(new ConductanceGrid(exact), 5, [.. Enumerable.Range(0, exact.East.Length).Select(_ => random.NextDouble())]);
        Assert.Equal(SolveStatus.Converged, report.Status);
        Assert.All(Enumerable.Range(0, temperature.Length).Where(i => i % 21 >= 10), i => Assert.Equal(0, temperature[i]));
    }
}
