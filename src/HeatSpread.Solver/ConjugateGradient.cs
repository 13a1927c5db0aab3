using HeatSpread.Solver.Kernels;
using HeatSpread.Solver.Multigrid;

namespace HeatSpread.Solver;

/// <summary>
/// Conjugate gradients (Hestenes, Stiefel 1952) in single precision on the Schur complement of the red columns, which each cycle leaves exactly balanced.
/// The new direction is made conjugate to the last one explicitly (Notay 2000), as the residual is replaced by the true one from time to time.
/// </summary>
internal sealed unsafe class ConjugateGradient(Hierarchy hierarchy, Workspace workspace, CancellationToken cancellationToken)
{
    private readonly Level _level = hierarchy.Levels[0];
    private readonly LevelWorkspace _finest = workspace.Levels[0];
    private readonly Cycle _cycle = new(hierarchy, workspace, cancellationToken);
    private double _curvature;

    /// <summary>Norm of the residual.</summary>
    public double ResidualNorm { get; private set; }

    /// <summary>Takes the workspace's residual as it is now.</summary>
    public void Start() => ResidualNorm = Math.Sqrt(Dot(workspace.Residual, workspace.Residual));

    /// <summary>One step: changes residual and correction. False where it broke down.</summary>
    public bool Step()
    {
        ReducedVector r = workspace.Residual, p = workspace.Direction, q = workspace.Image, e = workspace.Correction, z = Preconditioned, az = PreconditionedImage;
        Precondition();
        var beta = _curvature > 0 ? -Dot(az, p) / _curvature : 0;
        ScaleAdd(p, z, beta);
        ScaleAdd(q, az, beta);
        _curvature = Dot(p, q);
        if (!(_curvature > 0) || !double.IsFinite(_curvature)) return false;
        var alpha = Dot(r, p) / _curvature;
        AddScaled(e, p, alpha);
        AddScaled(r, q, -alpha);
        ResidualNorm = Math.Sqrt(Dot(r, r));
        return double.IsFinite(ResidualNorm);
    }

    /// <summary>
    /// Balances the red columns, whose residual is the finest level's red right-hand side: changes their temperatures and the residual of the rest.
    /// </summary>
    public void BalanceRed(Span<double> temperature)
    {
        float* red = _finest.X[0].Pointer, rhs = _finest.Rhs[0].Pointer;
        for (var row = 0; row < _level.Shape.Rows; row++) _level.SolveColumns(0, row, red, rhs, null);
        for (var row = 0; row < _level.Shape.Rows; row++) _level.LateralSum(1, row, workspace.Residual.Cells.Pointer, red, 1);
        _finest.X[1].Span.Clear();
        _level.Nodes?.AddFlows(red, _finest.X[1].Pointer, workspace.Residual.Nodes);
        _finest.Rhs[0].Span.Clear();
        Add(temperature, red, _finest.X[1].Pointer);
        workspace.Correction.Clear();
    }

    /// <summary>Adds the correction, and what it means for the red columns, to the temperatures.</summary>
    public void AddCorrection(Span<double> temperature)
    {
        float* red = _finest.X[0].Pointer, black = workspace.Correction.Cells.Pointer;
        for (var row = 0; row < _level.Shape.Rows; row++)
        {
            _level.Relax(0, row, red, null, black);
            _level.Nodes?.AddToColumns(0, row, red, workspace.Correction.Nodes);
        }

        Add(temperature, red, black);
        var nodes = temperature[^workspace.Correction.Nodes.Length..];
        for (var i = 0; i < nodes.Length; i++) nodes[i] += workspace.Correction.Nodes[i];
    }

    private void Add(Span<double> temperature, float* red, float* black)
    {
        var shape = _level.Shape;
        for (int row = 0, at = 0; row < shape.Rows; row++)
        {
            var parity = Shape.Parity(0, row);
            for (var s = 0; s < shape.Sheets; s++)
            {
                at = ((s * shape.Rows) + row) * shape.Columns;
                var i = shape.RowStart(row) + (s * shape.Half);
                for (var x = 0; x < shape.Columns; x++) temperature[at + x] += (((x ^ parity) & 1) == 0 ? red : black)[i + (x >> 1)];
            }
        }
    }

    private ReducedVector Preconditioned { get; } = new(workspace.Levels[0].X[1], workspace.Levels[0].NodeX);

    private ReducedVector PreconditionedImage { get; } = new(workspace.Levels[0].BlackResidual, workspace.Levels[0].NodeRhs);

    /// <summary>z = cycle applied to the residual; its image under the Schur complement falls out of the last relaxation of the red columns.</summary>
    private void Precondition()
    {
        _cycle.Run(0);
        float* red = _finest.X[0].Pointer, black = _finest.X[1].Pointer, last = _finest.Rhs[0].Pointer, image = _finest.BlackResidual.Pointer;
        double[] nodeX = _finest.NodeX;
        _level.Nodes?.CorrectAtEnd(_level, workspace.Residual.Nodes, null, red, black, nodeX, workspace.Nodes, changeRed: false);
        for (var row = 0; row < _level.Shape.Rows; row++)
        {
            _level.Relax(0, row, last, null, black);
            _level.Nodes?.AddToColumns(0, row, last, nodeX);
        }

        _level.Nodes?.Residual(new double[nodeX.Length], nodeX, last, black, _finest.NodeRhs);
        for (var i = 0; i < nodeX.Length; i++) _finest.NodeRhs[i] = -_finest.NodeRhs[i];
        int start = _level.Shape.RowStart(0), length = _level.Shape.Rows * _level.Shape.RowStride;
        VectorKernels.SubtractFrom(last + start, red + start, length);
        new Span<float>(workspace.Residual.Cells.Pointer + start, length).CopyTo(new(image + start, length));
        for (var row = 0; row < _level.Shape.Rows; row++) _level.LateralSum(1, row, image, last, 1);
        new Span<float>(last + start, length).Clear();
    }

    private double Dot(ReducedVector a, ReducedVector b)
    {
        var sum = 0.0;
        for (var row = 0; row < _level.Shape.Rows; row++)
            sum += VectorKernels.Dot(a.Cells.Pointer + _level.Shape.RowStart(row), b.Cells.Pointer + _level.Shape.RowStart(row), _level.Shape.RowStride);
        for (var i = 0; i < a.Nodes.Length; i++) sum += a.Nodes[i] * b.Nodes[i];
        return sum;
    }

    private void ScaleAdd(ReducedVector y, ReducedVector x, double factor)
    {
        VectorKernels.ScaleAdd(y.Cells.Pointer + _level.Shape.RowStart(0), x.Cells.Pointer + _level.Shape.RowStart(0), (float)factor, _level.Shape.Rows * _level.Shape.RowStride);
        for (var i = 0; i < y.Nodes.Length; i++) y.Nodes[i] = x.Nodes[i] + (factor * y.Nodes[i]);
    }

    private void AddScaled(ReducedVector y, ReducedVector x, double factor)
    {
        VectorKernels.AddScaled(y.Cells.Pointer + _level.Shape.RowStart(0), x.Cells.Pointer + _level.Shape.RowStart(0), (float)factor, _level.Shape.Rows * _level.Shape.RowStride);
        for (var i = 0; i < y.Nodes.Length; i++) y.Nodes[i] += factor * x.Nodes[i];
    }
}
