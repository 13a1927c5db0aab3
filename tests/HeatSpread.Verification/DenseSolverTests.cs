using HeatSpread.Solver;
using HeatSpread.Thermal;
using HeatSpread.Thermal.Boundary;
using HeatSpread.Thermal.Network;
using HeatSpread.Verification.Support;
using MathNet.Numerics.LinearAlgebra;
using Xunit;
using static HeatSpread.Verification.Support.Sketch;

namespace HeatSpread.Verification;

/// <summary>The multigrid solver against a dense Cholesky factorisation of the very network that a board gave.</summary>
public class DenseSolverTests(CheckTable checks)
{
    private const string Source = "dense Cholesky, MathNet.Numerics 5.0.0";

    [Theory]
    [InlineData("two layers with cut, vias and part network", 1.0)]
    [InlineData("two layers with cut, vias and part network", 0.8)]
    public void AssembledNetwork(string name, double pitchMillimetres)
    {
        var token = TestContext.Current.CancellationToken;
        var (board, conditions) = SmallBoards.WithEverything();
        var raster = CopperRaster.Build(board, BoardGrid.Over(board.Outline.Bounds, pitchMillimetres * Millimetre), token);
        var network = ThermalNetwork.Assemble(board, raster, token);
        var parts = PartAttachments.Attach(network, conditions);
        var heat = new double[network.Grid.CellCount + network.Grid.NodeCount];
        parts.AddHeat(heat);
        new OuterFaces(network, conditions).Put(network.Grid, null, heat);

        var field = new double[heat.Length];
        var report = MultigridSolver.Prepare(network.Grid, 1, token).Solve(heat, field, new SolveSettings(1e-11), null, token);
        Assert.Equal(SolveStatus.Converged, report.Status);

        double[] dense = DenseSolve(network.Grid, heat);
        int hottest = Array.IndexOf(dense, dense.Max());
        double worst = field.Zip(dense, (a, b) => Math.Abs(a - b)).Max() / dense.Max();
        checks.Relative($"{name}, pitch {pitchMillimetres} mm", Source, "hottest unknown, K", dense[hottest], field[hottest], 1e-8);
        checks.Absolute($"{name}, pitch {pitchMillimetres} mm", Source, "worst unknown's difference over the hottest", 0, worst, 1e-8);
    }

    /// <summary>All unknowns that exist; those that do not keep 0.</summary>
    private static double[] DenseSolve(ConductanceGrid grid, double[] heat)
    {
        var full = Dense(grid);
        int[] present = [.. Enumerable.Range(0, heat.Length).Where(i => full[i, i] > 0)];
        var system = Matrix<double>.Build.Dense(present.Length, present.Length, (i, j) => full[present[i], present[j]]);
        var solution = system.Cholesky().Solve(Vector<double>.Build.Dense(present.Length, i => heat[present[i]]));
        var field = new double[heat.Length];
        for (int i = 0; i < present.Length; i++) field[present[i]] = solution[i];
        return field;
    }

    private static double[,] Dense(ConductanceGrid grid)
    {
        int count = grid.CellCount + grid.NodeCount;
        double[,] matrix = new double[count, count];
        void Link(int a, int b, double conductance)
        {
            if (conductance == 0) return;
            matrix[a, a] += conductance;
            matrix[b, b] += conductance;
            matrix[a, b] -= conductance;
            matrix[b, a] -= conductance;
        }
        for (int cell = 0; cell < grid.CellCount; cell++)
        {
            matrix[cell, cell] += grid.ToSink[cell];
            if (grid.East[cell] > 0) Link(cell, cell + 1, grid.East[cell]);
            if (grid.North[cell] > 0) Link(cell, cell + grid.Columns, grid.North[cell]);
            if (grid.Below[cell] > 0) Link(cell, cell + grid.Columns * grid.Rows, grid.Below[cell]);
        }
        for (int node = 0; node < grid.NodeCount; node++) matrix[grid.CellCount + node, grid.CellCount + node] += grid.NodeToSink[node];
        foreach (var link in grid.NodeCellLinks) Link(grid.CellCount + link.Node, link.Cell, link.Conductance);
        foreach (var link in grid.NodeNodeLinks) Link(grid.CellCount + link.First, grid.CellCount + link.Second, link.Conductance);
        return matrix;
    }
}
