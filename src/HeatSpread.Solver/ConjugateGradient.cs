using HeatSpread.Solver.Kernels;
using HeatSpread.Solver.Multigrid;

namespace HeatSpread.Solver;

/// <summary>
/// Conjugate gradients (Hestenes, Stiefel 1952) in single precision on the Schur complement of the red columns, which each cycle leaves exactly balanced.
/// The new direction is made conjugate to the last one explicitly (Notay 2000), as the residual is replaced by the true one from time to time.
/// </summary>
internal sealed unsafe class ConjugateGradient(Hierarchy hierarchy, Workspace workspace, ThreadTeam team, CancellationToken cancellationToken)
{
    private readonly Level _level = hierarchy.Levels[0];
    private readonly LevelWorkspace _finest = workspace.Levels[0];
    private readonly Cycle _cycle = new(hierarchy, workspace, team, cancellationToken);
    private readonly double[] _rowSum = new double[hierarchy.Levels[0].Shape.Rows], _otherRowSum = new double[hierarchy.Levels[0].Shape.Rows];
    private readonly double[] _noNodes = new double[hierarchy.NodeCount];
    private double _curvature;

    /// <summary>Norm of the residual.</summary>
    public double ResidualNorm { get; private set; }

    /// <summary>One step: changes residual and correction. False where it broke down.</summary>
    public bool Step()
    {
        ReducedVector r = workspace.Residual, p = workspace.Direction, q = workspace.Image, e = workspace.Correction, z = Preconditioned, az = PreconditionedImage;
        Precondition();
        var beta = _curvature > 0 ? -Dot(az, p) / _curvature : 0;
        (var slope, _curvature) = Turn(p, z, q, az, r, beta);
        if (!(_curvature > 0) || !double.IsFinite(_curvature)) return false;
        ResidualNorm = Math.Sqrt(Walk(e, p, r, q, slope / _curvature));
        return double.IsFinite(ResidualNorm);
    }

    private ReducedVector Preconditioned { get; } = new(workspace.Levels[0].X[1], workspace.Levels[0].NodeX);

    private ReducedVector PreconditionedImage { get; } = new(workspace.Levels[0].BlackResidual, workspace.Levels[0].NodeRhs);

    /// <summary>
    /// Takes the true residual, red cells' as the finest level's red right-hand side, and hands what the red columns' balance means for the others on to them.
    /// </summary>
    public void Start()
    {
        float* red = _finest.X[0].Pointer, none = _finest.X[1].Pointer, rhs = _finest.Rhs[0].Pointer, residual = workspace.Residual.Cells.Pointer, correction = workspace.Correction.Cells.Pointer;
        InStages(
            row => _level.SolveColumns(0, row, red, rhs, null),
            row =>
            {
                _level.LateralSum(1, row, residual, red, 1);
                int i = _level.Shape.RowStart(row), stride = _level.Shape.RowStride;
                new Span<float>(none + i, stride).Clear();
                new Span<float>(correction + i, stride).Clear();
                _rowSum[row] = VectorKernels.Dot(residual + i, residual + i, stride);
            });
        _level.Nodes?.AddFlows(red, none, workspace.Residual.Nodes);
        workspace.Correction.Nodes.AsSpan().Clear();
        ResidualNorm = Math.Sqrt(_rowSum.Sum() + workspace.Residual.Nodes.Sum(r => r * r));
    }

    /// <summary>Adds the correction, and what it and the residual taken at the start mean for the red columns, to the temperatures.</summary>
    public void AddCorrection(Span<double> temperature)
    {
        float* red = _finest.X[0].Pointer, black = workspace.Correction.Cells.Pointer, rhs = _finest.Rhs[0].Pointer;
        ForRows(row =>
        {
            _level.Relax(0, row, red, rhs, black);
            _level.Nodes?.AddToColumns(0, row, red, workspace.Correction.Nodes);
        });
        Add(temperature, red, black);
        var nodes = temperature[^workspace.Correction.Nodes.Length..];
        for (var i = 0; i < nodes.Length; i++) nodes[i] += workspace.Correction.Nodes[i];
    }

    /// <summary>z = cycle applied to the residual; its image under the Schur complement falls out of the last relaxation of the red columns.</summary>
    private void Precondition()
    {
        _cycle.Run(0);
        float* red = _finest.X[0].Pointer, black = _finest.X[1].Pointer, last = workspace.LastRed.Pointer, image = _finest.BlackResidual.Pointer, residual = workspace.Residual.Cells.Pointer;
        var nodeX = _finest.NodeX;
        _level.Runs?.SolveAtEnd(_level, null, red, black, _finest.RunChange, team);
        _level.Nodes?.CorrectAtEnd(_level, workspace.Residual.Nodes, null, red, black, nodeX, workspace.Nodes, changeRed: false);
        _level.Runs?.Apply(null, black, _finest.RunChange);
        int stride = _level.Shape.RowStride;
        void RelaxLast(int row)
        {
            _level.Relax(0, row, last, null, black);
            _level.Nodes?.AddToColumns(0, row, last, nodeX);
        }

        void Subtract(int row) => VectorKernels.SubtractFrom(last + _level.Shape.RowStart(row), red + _level.Shape.RowStart(row), stride);
        void Image(int row)
        {
            var i = _level.Shape.RowStart(row);
            new Span<float>(residual + i, stride).CopyTo(new(image + i, stride));
            _level.LateralSum(1, row, image, last, 1);
        }

        if (_level.Nodes is { } nodes)
        {
            InStages(RelaxLast);
            nodes.Residual(_noNodes, nodeX, last, black, _finest.NodeRhs);
            for (var i = 0; i < nodeX.Length; i++) _finest.NodeRhs[i] = -_finest.NodeRhs[i];
            InStages(Subtract, Image);
        }
        else
        {
            InStages(
                row =>
                {
                    RelaxLast(row);
                    Subtract(row);
                },
                Image);
        }

        _level.Runs?.AddColumnImage(image, _finest.RunChange);
    }

    /// <summary>p = z + βp, q = az + βq; returns r·p and p·q.</summary>
    private (double Slope, double Curvature) Turn(ReducedVector p, ReducedVector z, ReducedVector q, ReducedVector az, ReducedVector r, double beta)
    {
        var stride = _level.Shape.RowStride;
        ForRows(row =>
        {
            var i = _level.Shape.RowStart(row);
            VectorKernels.ScaleAdd(p.Cells.Pointer + i, z.Cells.Pointer + i, (float)beta, stride);
            VectorKernels.ScaleAdd(q.Cells.Pointer + i, az.Cells.Pointer + i, (float)beta, stride);
            _rowSum[row] = VectorKernels.Dot(r.Cells.Pointer + i, p.Cells.Pointer + i, stride);
            _otherRowSum[row] = VectorKernels.Dot(p.Cells.Pointer + i, q.Cells.Pointer + i, stride);
        });
        double slope = _rowSum.Sum(), curvature = _otherRowSum.Sum();
        for (var i = 0; i < p.Nodes.Length; i++)
        {
            p.Nodes[i] = z.Nodes[i] + (beta * p.Nodes[i]);
            q.Nodes[i] = az.Nodes[i] + (beta * q.Nodes[i]);
            slope += r.Nodes[i] * p.Nodes[i];
            curvature += p.Nodes[i] * q.Nodes[i];
        }

        return (slope, curvature);
    }

    /// <summary>e += αp, r −= αq; returns r·r.</summary>
    private double Walk(ReducedVector e, ReducedVector p, ReducedVector r, ReducedVector q, double alpha)
    {
        var stride = _level.Shape.RowStride;
        ForRows(row =>
        {
            var i = _level.Shape.RowStart(row);
            VectorKernels.AddScaled(e.Cells.Pointer + i, p.Cells.Pointer + i, (float)alpha, stride);
            VectorKernels.AddScaled(r.Cells.Pointer + i, q.Cells.Pointer + i, (float)-alpha, stride);
            _rowSum[row] = VectorKernels.Dot(r.Cells.Pointer + i, r.Cells.Pointer + i, stride);
        });
        var square = _rowSum.Sum();
        for (var i = 0; i < r.Nodes.Length; i++)
        {
            e.Nodes[i] += alpha * p.Nodes[i];
            r.Nodes[i] -= alpha * q.Nodes[i];
            square += r.Nodes[i] * r.Nodes[i];
        }

        return square;
    }

    private double Dot(ReducedVector a, ReducedVector b)
    {
        ForRows(row => _rowSum[row] = VectorKernels.Dot(a.Cells.Pointer + _level.Shape.RowStart(row), b.Cells.Pointer + _level.Shape.RowStart(row), _level.Shape.RowStride));
        var sum = _rowSum.Sum();
        for (var i = 0; i < a.Nodes.Length; i++) sum += a.Nodes[i] * b.Nodes[i];
        return sum;
    }

    private void Add(Span<double> temperature, float* red, float* black)
    {
        var shape = _level.Shape;
        fixed (double* pinned = temperature)
        {
            var t = pinned;
            team.ForRows(shape.Rows, shape.RowStride, (from, to) =>
            {
                var natural = new float[shape.Columns];
                fixed (float* n = natural)
                {
                    for (var row = from; row < to; row++)
                    {
                        var redFirst = Shape.Parity(0, row) == 0;
                        for (var s = 0; s < shape.Sheets; s++)
                        {
                            var i = shape.RowStart(row) + (s * shape.Half);
                            TransferKernels.Join(n, (redFirst ? red : black) + i, (redFirst ? black : red) + i, shape.Columns);
                            TransferKernels.AddWidened(t + (((s * shape.Rows) + row) * shape.Columns), n, shape.Columns);
                        }
                    }
                }
            });
        }
    }

    private void ForRows(Action<int> body) => InStages(body);

    private void InStages(params Action<int>[] stages)
    {
        if (!cancellationToken.IsCancellationRequested) team.ForRowsInStages(_level.Shape.Rows, _level.Shape.RowStride, stages);
    }
}
