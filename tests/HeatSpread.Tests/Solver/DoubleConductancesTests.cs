using HeatSpread.Solver;
using Xunit;

namespace HeatSpread.Tests.Solver;

/// <summary>Networks given in double: it is their own rows that are satisfied, and not those of the rounded network that the hierarchy is made of.</summary>
public class DoubleConductancesTests
{
    private const double Tolerance = 1e-12;

    [Theory]
    [InlineData(1, 1, 1, 0, false)]
    [InlineData(3, 1, 7, 0, false)]
    [InlineData(1, 40, 5, 1, false)]
    [InlineData(40, 33, 4, 3, true)]
    [InlineData(97, 61, 7, 0, false)]
    [InlineData(150, 140, 3, 5, true)]
    public void Satisfies_the_rows_in_double(int columns, int rows, int sheets, int parts, bool cutouts)
    {
        var random = new Random(columns + (1000 * sheets));
        var (grid, heat) = Finer(random, RandomNetwork.Board(random, columns, rows, sheets, parts: parts, cutouts: cutouts, film: 1e4));
        AssertSolved(MultigridSolver.Prepare(grid, 2, TestContext.Current.CancellationToken), grid, heat);
        float[] sinks = Array.ConvertAll(grid.ToSink, g => g * 1.03f);
        var near = MultigridSolver.Prepare(grid, 1, TestContext.Current.CancellationToken);
        AssertSolved(near.WithSinks(sinks, TestContext.Current.CancellationToken), grid.WithSinks(sinks), heat);
    }

    /// <summary>Pieces of metal tied to each other by next to nothing, each with an offset of its own.</summary>
    [Theory]
    [InlineData(1e-6)]
    [InlineData(1e-9)]
    public void Satisfies_them_between_pieces_that_are_weakly_tied(double tie)
    {
        const int columns = 60, rows = 40, sheets = 2, plane = columns * rows;
        var random = new Random(7);
        var board = new ConductanceGrid(columns, rows, sheets);
        for (var i = 0; i < board.CellCount; i++)
        {
            var column = i % columns;
            board.East[i] = column == columns - 1 ? 0 : column % 20 == 19 ? (float)(tie * (1 + random.NextDouble())) : 1 + random.NextSingle();
            board.North[i] = i % plane / columns == rows - 1 ? 0 : 1 + random.NextSingle();
            if (i < plane) board.Below[i] = 0.1f + random.NextSingle();
            else board.ToSink[i] = column < 20 ? (float)(tie * (1 + random.NextDouble())) : 0;
        }

        // All a little more than their rounding, which balanced instead would leave each piece with too much flowing out.
        var (grid, heat) = Finer(random, board, least: 1e-8, most: 2e-8);
        var temperature = AssertSolved(MultigridSolver.Prepare(grid, 2, TestContext.Current.CancellationToken), grid, heat);
        var surplus = new double[3];
        int PieceOf(int cell) => cell % columns / 20;
        for (var i = 0; i < heat.Length; i++) surplus[PieceOf(i)] += heat[i];
        EachLink(grid, temperature, (from, to, flow) =>
        {
            if (to >= 0 && PieceOf(from) == PieceOf(to)) return;
            surplus[PieceOf(from)] -= flow;
            if (to >= 0) surplus[PieceOf(to)] += flow;
        });
        Assert.All(surplus, watts => Assert.Equal(0, watts / heat.Sum(), 1e-9));
    }

    [Fact]
    public void Refuses_conductances_that_single_precision_has_not()
    {
        var exact = new DoubleConductances(2, 1, 1);
        exact.ToSink[0] = 1;
        exact.East[0] = 1e-46;
        Assert.Contains("cell 0, 1e-46 W/K", Assert.Throws<ArgumentException>(() => new ConductanceGrid(exact)).Message, StringComparison.Ordinal);
    }

    /// <summary>With more digits than single precision has, and heat for it.</summary>
    private static (ConductanceGrid Grid, double[] Heat) Finer(Random random, ConductanceGrid board, double least = -3e-8, double most = 3e-8)
    {
        var exact = new DoubleConductances(board.Columns, board.Rows, board.Sheets);
        foreach (var (from, to) in new[] { (board.East, exact.East), (board.North, exact.North), (board.Below, exact.Below), (board.ToSink, exact.ToSink) })
        {
            for (var i = 0; i < to.Length; i++) to[i] = from[i] * (1 + least + ((most - least) * random.NextDouble()));
        }

        var grid = new ConductanceGrid(exact, board.NodeCount);
        board.NodeToSink.CopyTo(grid.NodeToSink, 0);
        grid.NodeCellLinks.AddRange(board.NodeCellLinks);
        grid.NodeNodeLinks.AddRange(board.NodeNodeLinks);
        var heat = new double[grid.CellCount + grid.NodeCount];
        for (var i = 0; i < grid.CellCount; i++) heat[i] = board.East[i] > 0 && random.Next(50) == 0 ? random.NextDouble() : 0;
        heat[Array.FindIndex(board.ToSink, g => g > 0)] += 1;
        return (grid, heat);
    }

    private static double[] AssertSolved(MultigridSolver solver, ConductanceGrid grid, double[] heat)
    {
        var temperature = new double[heat.Length];
        var report = solver.Solve(heat, temperature, new(Tolerance), null, TestContext.Current.CancellationToken);
        Assert.True(report.RelativeResidual <= 2e-12, $"{report.Status}, {report.RelativeResidual:g3} after {report.Iterations}");
        Assert.Equal(report.HeatIn, report.HeatOut, 1e-9 * report.HeatIn);
        Assert.InRange(Unbalanced(grid, heat, temperature), 0, 3e-12 + (1e-15 * Rounded(grid, heat, temperature)));
        return temperature;
    }

    /// <summary>Norm of heat − conductances × temperature over that of the heat, link by link.</summary>
    private static double Unbalanced(ConductanceGrid grid, double[] heat, double[] temperature)
    {
        double[] residual = [.. heat];
        EachLink(grid, temperature, (from, to, flow) =>
        {
            residual[from] -= flow;
            if (to >= 0) residual[to] += flow;
        });
        return Math.Sqrt(residual.Sum(r => r * r) / heat.Sum(q => q * q));
    }

    /// <summary>Norm of all conductance × temperature over that of the heat: temperatures in double cannot balance their last digits.</summary>
    private static double Rounded(ConductanceGrid grid, double[] heat, double[] temperature)
    {
        double sum = 0, greatest = grid.Exact!.East.Max();
        EachLink(grid, temperature, (from, _, flow) => sum += (flow * flow) + Math.Pow(temperature[from] * greatest, 2));
        return Math.Sqrt(sum / heat.Sum(q => q * q));
    }

    private static void EachLink(ConductanceGrid grid, double[] temperature, Action<int, int, double> see)
    {
        var exact = grid.Exact!;
        int plane = grid.Columns * grid.Rows;
        void See(int from, int to, double conductance)
        {
            if (conductance > 0) see(from, to, conductance * (temperature[from] - (to < 0 ? 0 : temperature[to])));
        }

        for (var i = 0; i < grid.CellCount; i++)
        {
            See(i, -1, exact.ToSink[i]);
            See(i, i + 1, exact.East[i]);
            See(i, i + grid.Columns, exact.North[i]);
            See(i, i + plane, exact.Below[i]);
        }

        for (var node = 0; node < grid.NodeCount; node++) See(grid.CellCount + node, -1, grid.NodeToSink[node]);
        foreach (var link in grid.NodeCellLinks) See(grid.CellCount + link.Node, link.Cell, link.Conductance);
        foreach (var link in grid.NodeNodeLinks) See(grid.CellCount + link.First, grid.CellCount + link.Second, link.Conductance);
    }
}
