using HeatSpread.Solver;
using MathNet.Numerics.LinearAlgebra;
using Xunit;

namespace HeatSpread.Tests.Solver;

/// <summary>Conductances many orders of magnitude apart: sets of strongly tied cells that single precision cannot tell from one another's sink.</summary>
public sealed class StiffNetworkTests
{
    [Theory]
    [InlineData(1e3)]
    [InlineData(1e4)]
    [InlineData(1e5)]
    [InlineData(1e6)]
    public void Two_sheets_of_a_very_good_conductor_weakly_tied_to_each_other(double conductivity)
    {
        var network = new StiffNetwork(80, 80, 2, conductivity, 0.3, 0, 2000);
        var (report, temperature) = Solve(network.Grid(new Random(1)), network.Heat(new Random(2)), threads: 2);
        Assert.Equal(SolveStatus.Converged, report.Status);
        Assert.InRange(report.Iterations, 1, 30);
        // As good as even sheets: film and dielectric have the drop of one dimension.
        double area = 80 * 80 * 0.25e-3 * 0.25e-3, watts = 8;
        double film = watts / (2000 * area), dielectric = watts * 1e-3 / (0.3 * area);
        Assert.Equal(film, temperature.AsSpan(4 * 6400, 6400).ToArray().Average(), 1e-3 * film);
        Assert.Equal(film + dielectric, temperature.AsSpan(0, 6400).ToArray().Average(), 0.01 * dielectric);
    }

    /// <summary>Conductivities 1 to 1e6, dielectric 0.05 to 2 W/(m·K), films 1e-2 to 1e5 W/(m²·K), 1 to 8 layers, islands, vias and parts, drawn at random.</summary>
    [Theory]
    [InlineData(0)]
    [InlineData(1000)]
    [InlineData(2000)]
    public void All_converge_to_the_residual_that_an_answer_needs(int firstSeed)
    {
        List<int> iterations = [];
        for (var seed = firstSeed; seed < firstSeed + 40; seed++)
        {
            var random = new Random(seed);
            var network = Drawn(random, 45);
            var grid = network.Grid(random);
            var heat = network.Heat(random);
            var (report, temperature) = Solve(grid, heat);
            Assert.True(report.Status == SolveStatus.Converged, $"seed {seed}: {report} {network}");
            Assert.Equal(report.HeatIn, report.HeatOut, 1e-8 * report.HeatIn);
            iterations.Add(report.Iterations);
            // Of millions of kelvin the rounding alone is more.
            if (temperature.Max() < 1e4) Assert.InRange(Residual(grid, heat, temperature), 0, 1.2e-9);
        }

        iterations.Sort();
        TestContext.Current.TestOutputHelper?.WriteLine($"iterations: median {iterations[20]}, worst {iterations[^1]}");
    }

    /// <summary>Against MathNet.Numerics' dense Cholesky factorisation in double, which keeps some six digits at these spreads.</summary>
    [Theory]
    [InlineData(1e5, 0.3, 100, false)]
    [InlineData(1e4, 0.1, 2000, true)]
    [InlineData(1e6, 1, 1e5, true)]
    [InlineData(1e3, 0.05, 1, true)]
    public void EqualsDenseCholesky(double conductivity, double dielectric, double film, bool islands)
    {
        var network = new StiffNetwork(14, 11, 3, conductivity, dielectric, film / 3, film) { Islands = islands, Parts = 3, PartConductance = 10, Vias = islands ? 2 : 0 };
        var grid = network.Grid(new Random(5));
        var heat = network.Heat(new Random(6));
        var (report, temperature) = Solve(grid, heat);
        Assert.Equal(SolveStatus.Converged, report.Status);
        var expected = DenseReferenceTests.Dense(grid).Cholesky().Solve(Vector<double>.Build.DenseOfArray(heat));
        var scale = expected.AbsoluteMaximum();
        for (var i = 0; i < heat.Length; i++) Assert.Equal(expected[i], temperature[i], 1e-5 * scale);
    }

    [Fact]
    public void A_guess_of_the_field_needs_no_iteration_and_threads_change_no_bit()
    {
        var network = new StiffNetwork(60, 50, 3, 1e5, 0.3, 5, 500) { Islands = true, Parts = 4 };
        var grid = network.Grid(new Random(8));
        var heat = network.Heat(new Random(9));
        double[] one = Solve(grid, heat).Temperature, two = Solve(grid, heat, threads: 2).Temperature;
        Assert.Equal(one, two);
        Assert.Equal(0, MultigridSolver.Prepare(grid, 1, TestContext.Current.CancellationToken).Solve(heat, two, new(1e-8), null, TestContext.Current.CancellationToken).Iterations);
    }

    private static StiffNetwork Drawn(Random random, int size)
    {
        double Between(double low, double high) => low * Math.Pow(high / low, random.NextDouble());
        return new(8 + random.Next(size), 8 + random.Next(size), 1 + random.Next(8), Between(1, 1e6), Between(0.05, 2), random.Next(2) == 0 ? 0 : Between(1e-2, 1e5), Between(1e-2, 1e5))
        {
            Pitch = Between(0.1e-3, 1e-3),
            ConductorThickness = Between(15e-6, 1e-3),
            DielectricThickness = Between(50e-6, 2e-3),
            Islands = random.Next(2) == 0,
            Vias = random.Next(2) == 0 ? random.Next(50) : 0,
            Parts = random.Next(3) == 0 ? random.Next(10) : 0,
            PartConductance = Between(1e-3, 1e3),
        };
    }

    private static (SolveReport Report, double[] Temperature) Solve(ConductanceGrid grid, double[] heat, int threads = 1)
    {
        var temperature = new double[heat.Length];
        using var solver = MultigridSolver.Prepare(grid, threads, TestContext.Current.CancellationToken);
        return (solver.Solve(heat, temperature, new(), null, TestContext.Current.CancellationToken), temperature);
    }

    /// <summary>2-norm of heat less flows, over that of the heat, link by link.</summary>
    internal static double Residual(ConductanceGrid grid, double[] heat, double[] temperature)
    {
        var left = (double[])heat.Clone();
        void Flow(int from, int to, double conductance)
        {
            var watts = conductance * (temperature[from] - temperature[to]);
            left[from] -= watts;
            left[to] += watts;
        }

        int plane = grid.Columns * grid.Rows, cells = grid.CellCount;
        for (var i = 0; i < cells; i++)
        {
            left[i] -= grid.ToSink[i] * temperature[i];
            if (grid.East[i] > 0) Flow(i, i + 1, grid.East[i]);
            if (grid.North[i] > 0) Flow(i, i + grid.Columns, grid.North[i]);
            if (grid.Below[i] > 0) Flow(i, i + plane, grid.Below[i]);
        }

        for (var node = 0; node < grid.NodeCount; node++) left[cells + node] -= grid.NodeToSink[node] * temperature[cells + node];
        foreach (var link in grid.NodeCellLinks) Flow(cells + link.Node, link.Cell, link.Conductance);
        foreach (var link in grid.NodeNodeLinks) Flow(cells + link.First, cells + link.Second, link.Conductance);
        return Math.Sqrt(left.Sum(w => w * w) / heat.Sum(w => w * w));
    }
}
