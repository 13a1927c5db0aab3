namespace HeatSpread.Solver.Multigrid;

/// <summary>
/// The nodes of a network and their links to the columns of one level. Smoothing columns alone barely moves a node that is tied more firmly to its
/// cells than these are to their neighbours, so each cycle also corrects along "the node, and every linked column as the node alone would hold it":
/// with these shapes as coarse basis the nodes' own system is solved exactly.
/// </summary>
internal sealed unsafe class NodeCoupling
{
    private readonly Shape _shape;
    private readonly int[] _node, _start;
    private readonly Eliminated[] _columns;
    private readonly double[] _conductance;
    private readonly float[] _shapeValue;
    private readonly int[][] _rowRange;
    private readonly SparseCholesky _basisSystem;
    private readonly NodeMatrix _matrix;

    /// <param name="level">Complete but for its nodes; its column factors know the links.</param>
    /// <param name="matrix">Of this level.</param>
    /// <param name="columns">Red ones first.</param>
    public NodeCoupling(Level level, NodeMatrix matrix, LinkedColumn[] columns)
    {
        (_shape, _matrix) = (level.Shape, matrix);
        _columns = [.. columns.Select(c => new Eliminated(c, _shape))];
        _node = [.. columns.SelectMany(c => c.Nodes)];
        _start = [.. columns.SelectMany(c => Enumerable.Repeat(_shape.ColumnStart(c.Column, c.Row), c.Nodes.Length))];
        _conductance = [.. columns.SelectMany(c => c.Conductance).SelectMany(g => g)];
        _shapeValue = [.. columns.SelectMany(c => c.Shape).SelectMany(v => v).Select(v => (float)v)];
        _rowRange = [Ranges(columns, 0, _shape.Rows), Ranges(columns, 1, _shape.Rows)];
        _basisSystem = BasisSystem(level, columns);
    }

    public int Count => _matrix.Count;

    public int Pairs => _node.Length;

    /// <summary>Adds to freshly relaxed columns of a row what their nodes give: T⁻¹ of conductance times node value.</summary>
    public void AddToColumns(int color, int row, float* x, double[] nodeValue, float sign = 1)
    {
        for (int k = _rowRange[color][row], end = _rowRange[color][row + 1]; k < end; k++) AddShape(k, x, sign * (float)nodeValue[_node[k]]);
    }

    /// <summary>residual = rhs + Σ conductance × cell − matrix × value. <paramref name="red"/> and <paramref name="black"/> are the cells' values.</summary>
    public void Residual(double[] rhs, double[] value, float* red, float* black, double[] residual)
    {
        _matrix.Residual(rhs, value, residual);
        AddFlows(red, black, residual);
    }

    /// <summary>sum[node] += Σ conductance × cell.</summary>
    public void AddFlows(float* red, float* black, double[] sum)
    {
        var redEnd = _rowRange[0][_shape.Rows];
        for (var k = 0; k < _node.Length; k++) sum[_node[k]] += Flow(k, k < redEnd ? red : black);
    }

    /// <summary>sum[node] += <paramref name="sign"/> Σ conductance × red cell.</summary>
    public void AddRedFlows(float* red, double[] sum, double sign)
    {
        var redEnd = _rowRange[0][_shape.Rows];
        for (var k = 0; k < redEnd; k++) sum[_node[k]] += sign * Flow(k, red);
    }

    /// <summary>First correction of a cycle, from zero: sets the nodes and adds their shapes to the columns.</summary>
    public void CorrectFromZero(double[] rhs, float* redRhs, float* blackRhs, float* red, float* black, double[] value, NodeScratch scratch)
    {
        var redEnd = _rowRange[0][_shape.Rows];
        rhs.AsSpan(0, Count).CopyTo(scratch.Residual);
        for (var k = 0; k < _node.Length; k++)
        {
            var cells = k < redEnd ? redRhs : blackRhs;
            if (cells != null) scratch.Residual[_node[k]] += Dot(k, cells);
        }

        _basisSystem.Solve(scratch.Residual, value, scratch.Work);
        for (var k = 0; k < _node.Length; k++) AddShape(k, k < redEnd ? red : black, (float)value[_node[k]]);
    }

    /// <summary>
    /// Last correction of a cycle, black columns being relaxed: changes the nodes and adds their shapes to the black columns, and to the red ones
    /// unless these are relaxed next anyway.
    /// </summary>
    public void CorrectAtEnd(Level level, double[] rhs, float* redRhs, float* red, float* black, double[] value, NodeScratch scratch, bool changeRed)
    {
        Residual(rhs, value, red, black, scratch.Residual);
        AddRedColumnResiduals(level, redRhs, red, black, value, scratch.Residual);
        _basisSystem.Solve(scratch.Residual, scratch.Change, scratch.Work);
        var redEnd = _rowRange[0][_shape.Rows];
        for (var k = changeRed ? 0 : redEnd; k < _node.Length; k++) AddShape(k, k < redEnd ? red : black, (float)scratch.Change[_node[k]]);
        for (var i = 0; i < Count; i++) value[i] += scratch.Change[i];
    }

    /// <summary>residual[node] += shape · column residual, as conductance · (column relaxed − column).</summary>
    private void AddRedColumnResiduals(Level level, float* redRhs, float* red, float* black, double[] value, double[] residual)
    {
        var sheets = _shape.Sheets;
        var relaxed = stackalloc float[sheets];
        for (var row = 0; row < _shape.Rows; row++)
        {
            int end = _rowRange[0][row + 1], next;
            var n = level.Row(0, row, black);
            for (var k = _rowRange[0][row]; k < end; k = next)
            {
                for (next = k + 1; next < end && _start[next] == _start[k];) next++;
                RelaxOne(level, n, _start[k], _shape.RowStart(row), redRhs, relaxed);
                for (var m = k; m < next; m++)
                {
                    for (var s = 0; s < sheets; s++) relaxed[s] += _shapeValue[(m * sheets) + s] * (float)value[_node[m]];
                }

                for (var m = k; m < next; m++)
                {
                    var sum = 0.0;
                    for (var s = 0; s < sheets; s++) sum += _conductance[(m * sheets) + s] * (relaxed[s] - red[_start[m] + (s * _shape.Half)]);
                    residual[_node[m]] += sum;
                }
            }
        }
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
        for (int s = 0, i = _start[k]; s < sheets; s++, i += _shape.Half) sum += _conductance[(k * sheets) + s] * x[i];
        return sum;
    }

    private double Dot(int k, float* x)
    {
        var sheets = _shape.Sheets;
        var sum = 0.0;
        for (int s = 0, i = _start[k]; s < sheets; s++, i += _shape.Half) sum += (double)_shapeValue[(k * sheets) + s] * x[i];
        return sum;
    }

    /// <summary>For one colour, where each row's pairs of node and column start.</summary>
    private static int[] Ranges(LinkedColumn[] columns, int color, int rows)
    {
        var start = new int[rows + 1];
        start[0] = columns.Where(c => c.Color < color).Sum(c => c.Nodes.Length);
        foreach (var c in columns.Where(c => c.Color == color)) start[c.Row + 1] += c.Nodes.Length;
        for (var r = 0; r < rows; r++) start[r + 1] += start[r];
        return start;
    }

    /// <summary>Pᵀ A P for the basis "node and its shapes": matrix − conductance · shape in each column − lateral couplings of shapes in neighbouring columns.</summary>
    private SparseCholesky BasisSystem(Level level, LinkedColumn[] columns)
    {
        var (diagonal, neighbours) = _matrix.Copy();
        var at = columns.ToDictionary(c => (c.Column, c.Row));
        void Add(int i, int j, double amount)
        {
            if (i == j) diagonal[i] += amount;
            else neighbours[i][j] = neighbours[i].GetValueOrDefault(j) + amount;
        }

        var lateral = new double[_shape.Sheets];
        foreach (var c in columns)
        {
            for (var n = 0; n < c.Nodes.Length; n++)
            {
                for (var m = 0; m < c.Nodes.Length; m++)
                {
                    var sum = 0.0;
                    for (var s = 0; s < lateral.Length; s++) sum += c.Conductance[n][s] * c.Shape[m][s];
                    Add(c.Nodes[n], c.Nodes[m], -sum);
                }
            }

            foreach (var (dx, dy) in (ReadOnlySpan<(int, int)>)[(1, 0), (0, 1)])
            {
                if (!at.TryGetValue((c.Column + dx, c.Row + dy), out var other)) continue;
                for (var s = 0; s < lateral.Length; s++) lateral[s] = *level.LateralPlace(c.Column, c.Row, dx, dy, s);
                for (var n = 0; n < c.Nodes.Length; n++)
                {
                    for (var m = 0; m < other.Nodes.Length; m++)
                    {
                        var sum = 0.0;
                        for (var s = 0; s < lateral.Length; s++) sum += c.Shape[n][s] * other.Shape[m][s] * lateral[s];
                        Add(c.Nodes[n], other.Nodes[m], -sum);
                        Add(other.Nodes[m], c.Nodes[n], -sum);
                    }
                }
            }
        }

        return SparseCholesky.Factor(diagonal, neighbours);
    }

    /// <summary>Before restriction: the nodes' shares of the black columns' residuals go to the nodes.</summary>
    public void GiveShares(float* residual, double[] nodeResidual)
    {
        var k = 0;
        foreach (var c in _columns)
        {
            for (var n = 0; c.Takes && n < c.Nodes; n++)
            {
                for (int s = 0, i = c.Start; s < _shape.Sheets; s++, i += _shape.Half) nodeResidual[_node[k + n]] += _shapeValue[((k + n) * _shape.Sheets) + s] * residual[i];
            }

            for (int s = 0, i = c.Start; c.Takes && s < _shape.Sheets; s++, i += _shape.Half) residual[i] *= c.Rest[s];
            k += c.Nodes;
        }
    }

    /// <summary>After prolongation: black columns with shares of nodes take these, and less from the coarse columns.</summary>
    /// <param name="level">This level.</param>
    /// <param name="x">Black values.</param>
    /// <param name="coarse">Coarse values in natural order.</param>
    /// <param name="node">Coarse values of the nodes.</param>
    public void TakeShares(Level level, float* x, float* coarse, ReadOnlySpan<double> node)
    {
        var k = 0;
        foreach (var c in _columns)
        {
            for (var s = 0; c.Takes && s < _shape.Sheets; s++)
            {
                int i = c.Start + (s * _shape.Half), at = c.Near + (s * _shape.Half);
                var weight = level.Weight.Pointer[i];
                var value = (c.Rest[s] - 1) * (coarse[at + c.Far] + (weight * (coarse[at] - coarse[at + c.Far])));
                for (var n = 0; n < c.Nodes; n++) value += _shapeValue[((k + n) * _shape.Sheets) + s] * (float)node[_node[k + n]];
                x[i] += value;
            }

            k += c.Nodes;
        }
    }

    /// <summary>A linked column: where it is, and where its two coarse neighbours are in natural order.</summary>
    private readonly struct Eliminated(LinkedColumn column, Shape shape)
    {
        public readonly bool Takes = column.Color == 1;
        public readonly int Nodes = column.Nodes.Length, Start = shape.ColumnStart(column.Column, column.Row);
        public readonly int Near = Shape.Lanes + ((column.Row >> 1) * shape.RowStride) + (column.Column >> 1), Far = (column.Row & 1) == 0 ? 1 : shape.RowStride;
        public readonly float[] Rest = [.. column.Rest().Select(r => (float)r)];
    }
}
