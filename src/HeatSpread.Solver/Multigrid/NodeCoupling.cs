using System.Runtime.CompilerServices;

namespace HeatSpread.Solver.Multigrid;

/// <summary>
/// The nodes of a network and their links to the columns of one level. Smoothing columns alone barely moves a node that is tied more firmly to its
/// cells than these are to their neighbours, so each cycle also corrects along "the node, and every linked column as the node alone would hold it":
/// with these shapes as coarse basis the nodes' own system is solved exactly.
/// </summary>
internal sealed unsafe class NodeCoupling
{
    private readonly Shape _shape;
    private readonly ColumnLinks _links;
    private readonly ColumnShares _shares;

    /// <summary>Of each pair, where its column starts, and which of the linked ones it is.</summary>
    private readonly int[] _start, _column;
    private readonly float[] _shapeValue;

    /// <summary>By colour: the first pair of each row.</summary>
    private readonly int[][] _rowRange;
    private readonly SparseCholesky _basisSystem;
    private readonly NodeMatrix _matrix;

    /// <param name="level">Complete but for its nodes; its column factors know the links.</param>
    /// <param name="matrix">Of this level.</param>
    /// <param name="links">Of this level.</param>
    /// <param name="shares">Of this level.</param>
    /// <param name="cancellationToken">Gives it up.</param>
    public NodeCoupling(Level level, NodeMatrix matrix, ColumnLinks links, ColumnShares shares, CancellationToken cancellationToken)
    {
        (_shape, _matrix, _links, _shares) = (level.Shape, matrix, links, shares);
        (_start, _column) = (new int[links.Pairs], new int[links.Pairs]);
        for (var c = 0; c < links.Columns; c++)
        {
            var pairs = links.Start[c]..links.Start[c + 1];
            _start.AsSpan(pairs).Fill(_shape.ColumnStart(links.X[c], links.Y[c]));
            _column.AsSpan(pairs).Fill(c);
        }

        _shapeValue = new float[shares.All.Length];
        for (var i = 0; i < _shapeValue.Length; i++) _shapeValue[i] = (float)shares.All[i];
        _rowRange = [Ranges(0, links.RedColumns), Ranges(links.RedColumns, links.Columns)];
        _basisSystem = BasisSystem(level, cancellationToken);
    }

    public int Count => _matrix.Count;

    public int Pairs => _links.Pairs;

    private int[] Node => _links.Node;

    private int RedPairs => _links.Start[_links.RedColumns];

    /// <summary>Adds to columns of a row, relaxed without their nodes or zero, what these give: T⁻¹ of conductance times node value.</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    public void AddToColumns(int color, int row, float* x, double[] nodeValue, float sign = 1)
    {
        for (int k = _rowRange[color][row], end = _rowRange[color][row + 1]; k < end; k++) AddShape(k, x, sign * (float)nodeValue[Node[k]]);
    }

    /// <summary>Whether any red column of the rows from <paramref name="from"/> to <paramref name="to"/>, both included, has a link; rows that are none have not.</summary>
    public bool HasRed(int from, int to) => _rowRange[0][Math.Max(from, 0)] < _rowRange[0][Math.Min(to + 1, _shape.Rows)];

    /// <summary>Of each pair of a row: Σ conductance × cell.</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    public void TakeFlows(int color, int row, float* x, double[] ofPair)
    {
        for (int k = _rowRange[color][row], end = _rowRange[color][row + 1]; k < end; k++) ofPair[k] = Flow(k, x);
    }

    /// <summary>Less, of each red pair of a row, Σ conductance × cell.</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    public void SubtractRedFlows(int row, float* red, double[] ofPair)
    {
        for (int k = _rowRange[0][row], end = _rowRange[0][row + 1]; k < end; k++) ofPair[k] -= Flow(k, red);
    }

    /// <summary>residual = rhs − matrix × value + what pairs have of it.</summary>
    public void Residual(double[] rhs, double[] value, double[] ofPair, double[] residual)
    {
        _matrix.Residual(rhs, value, residual);
        AddPairs(ofPair, 0, Pairs, residual);
    }

    /// <summary>sum[node] += what its red pairs have.</summary>
    public void AddRedPairs(double[] ofPair, double[] sum) => AddPairs(ofPair, 0, RedPairs, sum);

    /// <summary>First correction of a cycle, from zero.</summary>
    /// <param name="basisResidual">Right-hand side of the nodes and, by their shapes, of their columns.</param>
    /// <param name="value">Set.</param>
    /// <param name="scratch">Of the solve.</param>
    public void CorrectFromZero(double[] basisResidual, double[] value, NodeScratch scratch) => _basisSystem.Solve(basisResidual, value, scratch.Work);

    /// <summary>Right-hand side of the nodes and, by their shapes, of their columns.</summary>
    /// <param name="rhs">Of the nodes.</param>
    /// <param name="redRhs">Null for zero.</param>
    /// <param name="blackRhs">Of black cells.</param>
    /// <param name="basisResidual">Set.</param>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    public void TakeBasisResidual(double[] rhs, float* redRhs, float* blackRhs, double[] basisResidual)
    {
        rhs.AsSpan(0, Count).CopyTo(basisResidual);
        for (var k = redRhs == null ? RedPairs : 0; k < Pairs; k++) basisResidual[Node[k]] += Dot(k, k < RedPairs ? redRhs : blackRhs);
    }

    /// <summary>
    /// The same where the black right-hand side is about to become r − α (az + βq), in the very arithmetic of <see cref="Kernels.VectorKernels.Advance"/>: of nodes that are tied firmly little is left of large numbers, and what roundings
    /// make of it counts.
    /// </summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    public void TakeBasisResidual(double[] rhs, float* r, float* az, float* q, float beta, float alpha, double[] basisResidual)
    {
        rhs.AsSpan(0, Count).CopyTo(basisResidual);
        for (var k = RedPairs; k < Pairs; k++)
        {
            var sheets = _shape.Sheets;
            var sum = 0.0;
            for (int s = 0, i = _start[k]; s < sheets; s++, i += _shape.Half)
                sum += (double)_shapeValue[(k * sheets) + s] * float.MultiplyAddEstimate(-alpha, float.MultiplyAddEstimate(beta, q[i], az[i]), r[i]);
            basisResidual[Node[k]] += sum;
        }
    }

    /// <summary>Last correction of a cycle, black columns being relaxed: changes the nodes, but not the columns.</summary>
    /// <param name="rhs">Of the nodes.</param>
    /// <param name="value">Changed.</param>
    /// <param name="scratch">Of its pairs, what <see cref="TakeFlows"/> and <see cref="AddRedColumnResiduals"/> make of all rows; gets the changes.</param>
    public void CorrectAtEnd(double[] rhs, double[] value, NodeScratch scratch)
    {
        Residual(rhs, value, scratch.OfPair, scratch.Residual);
        _basisSystem.Solve(scratch.Residual, scratch.Change, scratch.Work);
        for (var i = 0; i < Count; i++) value[i] += scratch.Change[i];
    }

    /// <summary>Of each red pair of a row: + shape · column residual, as conductance · (column relaxed − column).</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    public void AddRedColumnResiduals(Level level, int row, float* redRhs, float* red, float* black, double[] value, double[] ofPair)
    {
        int end = _rowRange[0][row + 1], next, sheets = _shape.Sheets;
        if (_rowRange[0][row] == end) return;
        var relaxed = stackalloc float[sheets];
        var n = level.Row(0, row, black);
        for (var k = _rowRange[0][row]; k < end; k = next)
        {
            for (next = k + 1; next < end && _start[next] == _start[k];) next++;
            RelaxOne(level, n, _start[k], _shape.RowStart(row), redRhs, relaxed);
            for (var m = k; m < next; m++)
            {
                for (var s = 0; s < sheets; s++) relaxed[s] += _shapeValue[(m * sheets) + s] * (float)value[Node[m]];
            }

            for (var m = k; m < next; m++)
            {
                var sum = 0.0;
                for (var s = 0; s < sheets; s++) sum += _links.Conductance[(m * sheets) + s] * (relaxed[s] - red[_start[m] + (s * _shape.Half)]);
                ofPair[m] += sum;
            }
        }
    }

    /// <summary>sum[node] += what its pairs from <paramref name="from"/> up to <paramref name="to"/> have, pair after pair, so that it does not depend on who did which row.</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private void AddPairs(double[] ofPair, int from, int to, double[] sum)
    {
        for (var k = from; k < to; k++) sum[Node[k]] += ofPair[k];
    }

    private void RelaxOne(Level level, in Kernels.RowStencil n, int start, int rowStart, float* rhs, float* relaxed)
    {
        float* inverse = level.Inverse[0].Pointer + start, multiplier = level.Multiplier[0].Pointer + start;
        var carry = 0f;
        for (int s = 0, i = start - rowStart, at = 0; s < _shape.Sheets; s++, i += _shape.Half, at += _shape.Half)
        {
            var f = carry + (n.West[i] * n.WestValue[i]) + (n.East[i] * n.EastValue[i]) + (n.North[i] * n.NorthValue[i]) + (n.South[i] * n.SouthValue[i]);
            if (rhs != null) f += rhs[start + at];
            relaxed[s] = f;
            carry = f * multiplier[at];
        }

        var above = 0f;
        for (int s = _shape.Sheets - 1, at = s * _shape.Half; s >= 0; s--, at -= _shape.Half)
            relaxed[s] = above = (relaxed[s] * inverse[at]) + (multiplier[at] * above);
    }

    private void AddShape(int k, float* x, float factor)
    {
        var sheets = _shape.Sheets;
        for (int s = 0, i = _start[k]; s < sheets; s++, i += _shape.Half) x[i] += _shapeValue[(k * sheets) + s] * factor;
    }

    private double Flow(int k, float* x)
    {
        var sheets = _shape.Sheets;
        var sum = 0.0;
        for (int s = 0, i = _start[k]; s < sheets; s++, i += _shape.Half) sum += _links.Conductance[(k * sheets) + s] * x[i];
        return sum;
    }

    private double Dot(int k, float* x)
    {
        var sheets = _shape.Sheets;
        var sum = 0.0;
        for (int s = 0, i = _start[k]; s < sheets; s++, i += _shape.Half) sum += (double)_shapeValue[(k * sheets) + s] * x[i];
        return sum;
    }

    /// <summary>Of the columns of one colour, where each row's pairs start.</summary>
    private int[] Ranges(int from, int to)
    {
        var start = new int[_shape.Rows + 1];
        start[0] = _links.Start[from];
        for (var c = from; c < to; c++) start[_links.Y[c] + 1] += _links.Start[c + 1] - _links.Start[c];
        for (var r = 0; r < _shape.Rows; r++) start[r + 1] += start[r];
        return start;
    }

    /// <summary>Pᵀ A P for the basis "node and its shapes": matrix − conductance · shape in each column − lateral couplings of shapes in neighbouring columns.</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private SparseCholesky BasisSystem(Level level, CancellationToken cancellationToken)
    {
        var sum = _matrix.ToSum(0, Count);
        var lateral = new double[_shape.Sheets];
        for (var c = 0; c < _links.Columns; c++)
        {
            cancellationToken.ThrowIfCancellationRequested();
            int from = _links.Start[c], to = _links.Start[c + 1];
            for (var p = from; p < to; p++)
            {
                for (var q = p; q < to; q++) sum.Add(Node[p], Node[q], -Sum(_links.Of(p), _shares.Of(q)));
            }

            foreach (var (dx, dy) in (ReadOnlySpan<(int, int)>)[(1, 0), (0, 1)])
            {
                var other = _links.Find(_links.X[c] + dx, _links.Y[c] + dy);
                if (other < 0) continue;
                for (var s = 0; s < lateral.Length; s++) lateral[s] = *level.LateralPlace(_links.X[c], _links.Y[c], dx, dy, s);
                for (var p = from; p < to; p++)
                {
                    for (var q = _links.Start[other]; q < _links.Start[other + 1]; q++)
                    {
                        var both = Node[p] == Node[q] ? 2 : 1;
                        sum.Add(Node[p], Node[q], -both * Sum(lateral, _shares.Of(p), _shares.Of(q)));
                    }
                }
            }
        }

        return SparseCholesky.Factor(sum.Build());
    }

    /// <summary>Σ first × second.</summary>
    public static double Sum(ReadOnlySpan<double> first, ReadOnlySpan<double> second)
    {
        var sum = 0.0;
        for (var s = 0; s < first.Length; s++) sum += first[s] * second[s];
        return sum;
    }

    /// <summary>Σ conductance × first × second.</summary>
    public static double Sum(ReadOnlySpan<double> conductance, ReadOnlySpan<double> first, ReadOnlySpan<double> second)
    {
        var sum = 0.0;
        for (var s = 0; s < conductance.Length; s++) sum += conductance[s] * first[s] * second[s];
        return sum;
    }

    /// <summary>Before restriction: of a row's black columns the nodes' shares of the residuals go to the pairs.</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    public void GiveShares(int row, float* residual, double[] ofPair)
    {
        int end = _rowRange[1][row + 1], next;
        for (var k = _rowRange[1][row]; k < end; k = next)
        {
            for (next = k; next < end && _start[next] == _start[k]; next++) ofPair[next] += Dot(next, residual);
            var rest = _shares.Rest(_column[k]);
            for (int s = 0, i = _start[k]; s < rest.Length; s++, i += _shape.Half) residual[i] *= (float)rest[s];
        }
    }

    /// <summary>After prolongation: a row's black columns with shares of nodes take these, and less from the coarse columns.</summary>
    /// <param name="level">This level.</param>
    /// <param name="row">Of this level.</param>
    /// <param name="x">Black values.</param>
    /// <param name="coarse">Coarse values in natural order.</param>
    /// <param name="node">Coarse values of the nodes.</param>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    public void TakeShares(Level level, int row, float* x, float* coarse, ReadOnlySpan<double> node)
    {
        int end = _rowRange[1][row + 1], far = (row & 1) == 0 ? 1 : _shape.RowStride, next;
        for (var k = _rowRange[1][row]; k < end; k = next)
        {
            var near = Shape.Lanes + ((row >> 1) * _shape.RowStride) + (_links.X[_column[k]] >> 1);
            var rest = _shares.Rest(_column[k]);
            for (int s = 0, i = _start[k], at = near; s < rest.Length; s++, i += _shape.Half, at += _shape.Half)
                x[i] += ((float)rest[s] - 1) * (coarse[at + far] + (level.Weight.Pointer[i] * (coarse[at] - coarse[at + far])));
            for (next = k; next < end && _start[next] == _start[k]; next++) AddShape(next, x, (float)node[Node[next]]);
        }
    }
}
