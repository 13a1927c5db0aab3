using HeatSpread.Solver.Multigrid;
using MathNet.Numerics.LinearAlgebra;
using Xunit;

namespace HeatSpread.Tests.Solver;

/// <summary>Sums, orderings and factors of sparse symmetric matrices against the dense ones of MathNet.Numerics.</summary>
public class SparseCholeskyTests
{
    /// <summary>Laplacians of random networks with a few links to the sink: sparse ones, ones with a dense block, chains.</summary>
    private static (SymmetricMatrix Sparse, Matrix<double> Dense) Network(int seed, int size, int links, int block)
    {
        var random = new Random(seed);
        var dense = Matrix<double>.Build.Dense(size, size);
        var sum = new SymmetricSum(new double[size]);
        void Join(int a, int b, double g)
        {
            sum.Join(a, b, g);
            if (a == b) return;
            dense[a, a] += g;
            dense[b, b] += g;
            dense[a, b] -= g;
            dense[b, a] -= g;
        }

        for (var i = 1; i < size; i++) Join(i, i - 1, 1 + random.NextDouble());
        for (var k = 0; k < links; k++) Join(random.Next(size), random.Next(size), random.NextDouble());
        for (var a = 0; a < block; a++)
        {
            for (var b = 0; b < a; b++) Join(a, b, random.NextDouble());
        }

        for (var k = 0; k < 3; k++)
        {
            var i = random.Next(size);
            sum.Add(i, i, 0.5);
            dense[i, i] += 0.5;
        }

        return (sum.Build(), dense);
    }

    [Theory]
    [InlineData(1, 0, 0)]
    [InlineData(30, 0, 0)]
    [InlineData(60, 40, 0)]
    [InlineData(80, 200, 0)]
    [InlineData(90, 60, 40)]
    [InlineData(40, 0, 40)]
    public void SolvesAsTheDenseOne(int size, int links, int block)
    {
        for (var seed = 0; seed < 5; seed++)
        {
            var (sparse, dense) = Network(seed, size, links, block);
            var random = new Random(seed);
            double[] b = [.. Enumerable.Range(0, size).Select(_ => random.NextDouble() - 0.5)], x = new double[size];
            SparseCholesky.Factor(sparse).Solve(b, x, new double[size]);
            var expected = dense.Cholesky().Solve(Vector<double>.Build.DenseOfArray(b));
            for (var i = 0; i < size; i++) Assert.Equal(expected[i], x[i], 1e-9 * expected.AbsoluteMaximum());
        }
    }

    [Fact]
    public void SumsHoldEachPlaceOnce()
    {
        var (sparse, dense) = Network(3, 50, 400, 10);
        for (var row = 0; row < 50; row++)
        {
            var columns = sparse.Column[sparse.RowStart[row]..sparse.RowStart[row + 1]];
            Assert.Equal(columns.Length, columns.Distinct().Count());
            Assert.Equal(dense.Row(row).Count(v => v != 0) - 1, columns.Length);
            Assert.Equal(dense[row, row], sparse.Diagonal[row], 1e-12);
            for (var e = sparse.RowStart[row]; e < sparse.RowStart[row + 1]; e++) Assert.Equal(dense[row, sparse.Column[e]], sparse.Value[e], 1e-12);
        }
    }

    /// <summary>A tree has an order without fill, which always taking what has the fewest neighbours finds.</summary>
    [Fact]
    public void TreesHaveNoFill()
    {
        var random = new Random(1);
        var sum = new SymmetricSum(new double[500]);
        for (var i = 1; i < 500; i++) sum.Join(i, random.Next(i), 1);
        var (order, _, column) = MinimumDegree.Order(sum.Build());
        Assert.Equal(Enumerable.Range(0, 500), order.Order());
        Assert.InRange(column.Length, 499, 520);
    }
}
