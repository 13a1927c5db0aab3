using HeatSpread.Solver;
using MathNet.Numerics.LinearAlgebra;
using Xunit;

namespace HeatSpread.Tests.Solver;

/// <summary>Against the dense Cholesky factorisation of MathNet.Numerics on small random networks.</summary>
public class DenseReferenceTests
{
    [Theory]
    [InlineData(1, 1, 1, 0)]
    [InlineData(3, 1, 7, 0)]
    [InlineData(1, 40, 5, 1)]
    [InlineData(3, 3, 40, 0)]
    [InlineData(7, 6, 4, 2)]
    [InlineData(16, 15, 3, 3)]
    [InlineData(17, 12, 4, 4)]
    [InlineData(33, 5, 5, 2)]
    [InlineData(31, 29, 1, 5)]
    [InlineData(2, 2, 2, 20)]
    public void EqualsDenseCholesky(int columns, int rows, int sheets, int parts)
    {
        for (var seed = 0; seed < 4; seed++)
        {
            var random = new Random((1000 * columns) + (10 * rows) + sheets + (77 * seed));
            var grid = RandomNetwork.Board(random, columns, rows, sheets, parts: parts, cutouts: seed % 2 == 1, film: 1e4);
            var heat = RandomNetwork.Heat(random, grid);
            var temperature = new double[heat.Length];
            var report = MultigridSolver.Prepare(grid, 1 + (seed % 2), TestContext.Current.CancellationToken).Solve(heat, temperature, new(1e-11), null, TestContext.Current.CancellationToken);
            Assert.Equal(SolveStatus.Converged, report.Status);
            Assert.Equal(report.HeatIn, report.HeatOut, 1e-8 * report.HeatIn);
            var expected = Dense(grid).Cholesky().Solve(Vector<double>.Build.DenseOfArray(heat));
            var scale = expected.AbsoluteMaximum();
            for (var i = 0; i < heat.Length; i++) Assert.Equal(expected[i], temperature[i], 1e-6 * scale);
        }
    }

    /// <summary>The network's matrix; an unknown without any conductance gets a 1 on the diagonal.</summary>
    internal static Matrix<double> Dense(ConductanceGrid grid)
    {
        var a = Matrix<double>.Build.Dense(grid.CellCount + grid.NodeCount, grid.CellCount + grid.NodeCount);
        void Join(int i, int j, double g)
        {
            a[i, i] += g;
            a[j, j] += g;
            a[i, j] -= g;
            a[j, i] -= g;
        }

        for (var i = 0; i < grid.CellCount; i++)
        {
            a[i, i] += grid.ToSink[i];
            if (grid.East[i] > 0) Join(i, i + 1, grid.East[i]);
            if (grid.North[i] > 0) Join(i, i + grid.Columns, grid.North[i]);
            if (grid.Below[i] > 0) Join(i, i + (grid.Columns * grid.Rows), grid.Below[i]);
        }

        for (var n = 0; n < grid.NodeCount; n++) a[grid.CellCount + n, grid.CellCount + n] += grid.NodeToSink[n];
        foreach (var l in grid.NodeCellLinks) Join(grid.CellCount + l.Node, l.Cell, l.Conductance);
        foreach (var l in grid.NodeNodeLinks) Join(grid.CellCount + l.First, grid.CellCount + l.Second, l.Conductance);
        for (var i = 0; i < a.RowCount; i++)
        {
            if (a[i, i] == 0) a[i, i] = 1;
        }

        return a;
    }
}
