using System.Runtime.CompilerServices;

namespace HeatSpread.Solver.Multigrid;

/// <summary>
/// Direct solver for the small systems at the bottom of the hierarchy and among the nodes: L D Lᵀ by rows (up-looking; T. A. Davis, Direct Methods for
/// Sparse Linear Systems, 2006, chapter 4) after a minimum degree ordering. The end of a row is most often a run of columns one after the other, which plain vector loops take.
/// </summary>
internal sealed class SparseCholesky
{
    private readonly int[] _order, _rowStart, _column;

    /// <summary>Where in each row the run of columns up to its end starts.</summary>
    private readonly int[] _runStart;
    private readonly double[] _lower, _inverse;

    private SparseCholesky(int[] order, int[] rowStart, int[] column, double[] lower, double[] inverse)
    {
        (_order, _rowStart, _column, _lower, _inverse) = (order, rowStart, column, lower, inverse);
        _runStart = new int[order.Length];
        for (var k = 0; k < order.Length; k++)
        {
            var run = rowStart[k + 1];
            while (run > rowStart[k] && (run == rowStart[k + 1] || column[run - 1] == column[run] - 1)) run--;
            _runStart[k] = run;
        }
    }

    public int Size => _order.Length;

    public static SparseCholesky Factor(SymmetricMatrix matrix)
    {
        var (order, rowStart, column) = MinimumDegree.Order(matrix);
        var factor = new SparseCholesky(order, rowStart, column, new double[column.Length], new double[order.Length]);
        var place = new int[order.Length];
        for (var k = 0; k < order.Length; k++) place[order[k]] = k;
        var work = new double[order.Length];
        for (var k = 0; k < order.Length; k++) factor.FactorRow(k, matrix, place, work);
        return factor;
    }

    /// <summary>x = A⁻¹ b. An unknown without any conductance gets 0.</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    public void Solve(ReadOnlySpan<double> b, Span<double> x, Span<double> work)
    {
        for (var k = 0; k < Size; k++) work[k] = b[_order[k]] - Product(k, work);
        for (var k = 0; k < Size; k++) work[k] *= _inverse[k];
        for (var k = Size - 1; k >= 0; k--)
        {
            var value = work[k];
            x[_order[k]] = value;
            SubtractRow(k, value, work);
        }
    }

    /// <summary>Row k of L D, one column after the other: each needs the earlier ones of both rows.</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private void FactorRow(int k, SymmetricMatrix matrix, int[] place, double[] work)
    {
        int row = _order[k], from = _rowStart[k], to = _rowStart[k + 1];
        for (var e = matrix.RowStart[row]; e < matrix.RowStart[row + 1]; e++) work[place[matrix.Column[e]]] = matrix.Value[e];
        var pivot = matrix.Diagonal[row];
        for (var e = from; e < to; e++)
        {
            var j = _column[e];
            var sum = work[j] -= Product(j, work);
            _lower[e] = sum * _inverse[j];
            pivot -= _lower[e] * sum;
        }

        for (var e = from; e < to; e++) work[_column[e]] = 0;
        for (var e = matrix.RowStart[row]; e < matrix.RowStart[row + 1]; e++) work[place[matrix.Column[e]]] = 0;
        _inverse[k] = pivot > 1e-14 * matrix.Diagonal[row] ? 1 / pivot : 0;
    }

    /// <summary>Row k of L times a vector.</summary>
    private double Product(int k, ReadOnlySpan<double> x)
    {
        int run = _runStart[k], end = _rowStart[k + 1];
        var sum = 0.0;
        for (var e = _rowStart[k]; e < run; e++) sum += _lower[e] * x[_column[e]];
        return run == end ? sum : sum + Kernels.VectorKernels.Dot(_lower.AsSpan(run..end), x.Slice(_column[run], end - run));
    }

    /// <summary>x −= value times row k of L.</summary>
    private void SubtractRow(int k, double value, Span<double> x)
    {
        int run = _runStart[k], end = _rowStart[k + 1];
        for (var e = _rowStart[k]; e < run; e++) x[_column[e]] -= _lower[e] * value;
        if (run < end) Kernels.VectorKernels.Subtract(x.Slice(_column[run], end - run), _lower.AsSpan(run..end), value);
    }
}
