using HeatSpread.Solver.Kernels;
using HeatSpread.Solver.Multigrid;

namespace HeatSpread.Solver;

/// <summary>
/// Conjugate gradients (Hestenes, Stiefel 1952) in single precision on the Schur complement of the red columns, which each cycle leaves exactly balanced.
/// The new direction is made conjugate to the last one explicitly (Notay 2000), as the residual is replaced by the true one from time to time. All scalar products of a step are taken
/// as the cycle's last rows come out of it, and vectors change as the next cycle's first rows go into it (Chronopoulos, Gear 1989), so that a step is two passes over memory, three where there are nodes.
/// </summary>
internal sealed unsafe class ConjugateGradient
{
    private readonly Workspace _workspace;
    private readonly ThreadTeam _team;
    private readonly Level _level;
    private readonly LevelWorkspace _finest;
    private readonly Cycle _cycle;
    private readonly Products[] _rowProducts;
    private readonly double[] _noNodes;
    private readonly ReducedVector _z, _az;
    private double _square, _beta, _alpha;
    private bool _pending;

    /// <summary>Whether the correction holds something of this round.</summary>
    private bool _isCorrected;

    public ConjugateGradient(Hierarchy hierarchy, Workspace workspace, ThreadTeam team)
    {
        (_workspace, _team, _level, _finest) = (workspace, team, hierarchy.Levels[0], workspace.Levels[0]);
        (_rowProducts, _noNodes) = (new Products[_level.Shape.Rows], new double[hierarchy.NodeCount]);
        (_z, _az) = (new(_finest.X[1], _finest.NodeX), new(_finest.BlackResidual, _finest.NodeRhs));
        _cycle = new(hierarchy, workspace, team, row => Advance(row, isLast: false), AddImageStages);
    }

    /// <summary>Norm of the residual.</summary>
    public double ResidualNorm => Math.Sqrt(Math.Max(0, _square));

    /// <summary>One step: z = cycle of r, p = z + βp conjugate to the last p, r −= α A p. False where it broke down, and then nothing has changed.</summary>
    public bool Step()
    {
        AdvanceNodes();
        if (_level.Nodes != null) TakeBasisResidual(_level.Nodes);
        _cycle.Run();
        EndAdvance();
        if (_level.Nodes is { } nodes) TakeNodeImage(nodes);
        var sum = SumProducts();
        var beta = sum.Curvature > 0 ? -sum.ImageDirection / sum.Curvature : 0;
        var curvature = sum.Energy + (beta * ((2 * sum.ImageDirection) + (beta * sum.Curvature)));
        if (!(curvature > 0) || !double.IsFinite(curvature)) return false;
        var alpha = (sum.Slope + (beta * sum.ResidualDirection)) / curvature;
        // Of q = az + βq, the image of the new p. Taken from scratch in each step: over many steps the differences would lose their digits.
        var residualImage = sum.ResidualNewImage + (beta * sum.ResidualImage);
        var imageSquare = sum.NewImageSquare + (beta * ((2 * sum.NewImageImage) + (beta * sum.ImageSquare)));
        (_beta, _alpha, _pending) = (beta, alpha, true);
        _square = sum.Square + (alpha * ((alpha * imageSquare) - (2 * residualImage)));
        return double.IsFinite(_square);
    }

    /// <summary>
    /// Takes the true residual, red cells' as the finest level's red right-hand side, and hands what the red columns' balance means for the others on to them.
    /// </summary>
    public void Start()
    {
        float* red = _finest.X[0].Pointer, rhs = _finest.Rhs[0].Pointer, residual = _workspace.Residual.Cells.Pointer;
        var scratch = _workspace.Nodes;
        new Stages(_team, _level.Shape)
            .Then(row =>
            {
                _level.SolveColumns(0, row, red, rhs, null);
                _level.Nodes?.TakeFlows(0, row, red, scratch.OfPair);
            })
            .Then(row =>
            {
                _level.LateralSum(1, row, residual, red, residual, 1);
                int i = _level.Shape.RowStart(row), stride = _level.Shape.RowStride;
                _rowProducts[row].Slope = VectorKernels.Dot(residual + i, residual + i, stride);
            }).Run();
        _level.Nodes?.AddRedPairs(scratch.OfPair, _workspace.Residual.Nodes);
        _workspace.Correction.Nodes.AsSpan().Clear();
        _isCorrected = false;
        _square = _workspace.Residual.Nodes.Sum(r => r * r);
        foreach (ref readonly var row in _rowProducts.AsSpan()) _square += row.Slope;
    }

    /// <summary>Adds the correction, and what it and the residual taken at the start mean for the red columns, to the temperatures.</summary>
    /// <param name="temperature">Changed.</param>
    /// <param name="afterRow">Done for each row of cells, in any order, when all its sheets are changed.</param>
    public void AddCorrection(double* temperature, Action<int> afterRow)
    {
        float* red = _finest.X[0].Pointer, black = _workspace.Correction.Cells.Pointer, rhs = _finest.Rhs[0].Pointer;
        var shape = _level.Shape;
        var nodes = _workspace.Correction.Nodes;
        AdvanceNodes();
        new Stages(_team, shape)
            .Then(row => Advance(row, isLast: true))
            .Then(row =>
            {
                _level.Relax(0, row, red, rhs, black);
                _level.Nodes?.AddToColumns(0, row, red, nodes);
            })
            .Then(row =>
            {
                var redFirst = Shape.Parity(0, row) == 0;
                for (var s = 0; s < shape.Sheets; s++)
                {
                    var i = shape.RowStart(row) + (s * shape.Half);
                    TransferKernels.AddJoined(temperature + (((s * shape.Rows) + row) * shape.Columns), (redFirst ? red : black) + i, (redFirst ? black : red) + i, shape.Columns);
                }

                afterRow(row);
            }).Run();
        EndAdvance();
        var cells = shape.Unknowns;
        for (var i = 0; i < nodes.Length; i++) temperature[cells + i] += nodes[i];
    }

    /// <summary>p = z + βp, q = az + βq, e += αp, r −= αq, with the scalars of the last step, where there was one. The last time in a round the residual is about to be replaced.</summary>
    private void Advance(int row, bool isLast)
    {
        int i = _level.Shape.RowStart(row), stride = _level.Shape.RowStride;
        if (!_pending)
        {
            if (isLast && !_isCorrected) _workspace.Correction.Cells.Span.Slice(i, stride).Clear();
            return;
        }

        VectorKernels.Advance(
            _workspace.Direction.Cells.Pointer + i,
            _workspace.Image.Cells.Pointer + i,
            _workspace.Correction.Cells.Pointer + i,
            isLast ? null : _workspace.Residual.Cells.Pointer + i,
            _z.Cells.Pointer + i,
            _az.Cells.Pointer + i,
            (float)_beta,
            (float)_alpha,
            isFirst: !_isCorrected,
            stride);
    }

    /// <summary>After all rows.</summary>
    private void EndAdvance()
    {
        _isCorrected |= _pending;
        _pending = false;
    }

    private void AdvanceNodes()
    {
        double[] p = _workspace.Direction.Nodes, q = _workspace.Image.Nodes, e = _workspace.Correction.Nodes, r = _workspace.Residual.Nodes;
        for (var i = 0; _pending && i < p.Length; i++)
        {
            p[i] = _z.Nodes[i] + (_beta * p[i]);
            q[i] = _az.Nodes[i] + (_beta * q[i]);
            e[i] += _alpha * p[i];
            r[i] -= _alpha * q[i];
        }
    }

    /// <summary>Of the residual as the cells' too will be in a moment, so that the cycle need not wait for all rows of it.</summary>
    private void TakeBasisResidual(NodeCoupling nodes)
    {
        ReducedVector r = _workspace.Residual, q = _workspace.Image;
        if (_pending) nodes.TakeBasisResidual(r.Nodes, r.Cells.Pointer, _az.Cells.Pointer, q.Cells.Pointer, (float)_beta, (float)_alpha, _workspace.Nodes.BasisResidual);
        else nodes.TakeBasisResidual(r.Nodes, null, r.Cells.Pointer, _workspace.Nodes.BasisResidual);
    }

    /// <summary>The image of z under the Schur complement falls out of one more relaxation of the red columns, node for node and cell for cell.</summary>
    private void AddImageStages(Stages stages)
    {
        float* red = _finest.X[0].Pointer, black = _z.Cells.Pointer;
        if (_level.Nodes is not { } nodes)
        {
            stages.Then(BalanceRed).Then(TakeImage);
            return;
        }

        var scratch = _workspace.Nodes;
        stages.Then(row =>
        {
            nodes.TakeFlows(1, row, black, scratch.OfPair);
            nodes.TakeFlows(0, row, red, scratch.OfPair);
            nodes.AddToColumns(0, row, red, _z.Nodes, -1);
            BalanceRed(row);
            nodes.SubtractRedFlows(row, red, scratch.OfPair);
        }).Then(TakeImage);
    }

    /// <summary>From what the stages of the cells have found.</summary>
    private void TakeNodeImage(NodeCoupling nodes)
    {
        var image = _az.Nodes;
        nodes.Residual(_noNodes, _z.Nodes, _workspace.Nodes.OfPair, image);
        for (var i = 0; i < image.Length; i++) image[i] = -image[i];
    }

    /// <summary>What the relaxation takes from the red columns is left in their place, as <see cref="TakeImage"/> needs nothing else.</summary>
    private void BalanceRed(int row) => _level.SubtractRelaxed(0, row, _finest.X[0].Pointer, _z.Cells.Pointer);

    /// <summary>az = r + Σ conductance × what was taken from the red neighbours; and the row's part of all scalar products.</summary>
    private void TakeImage(int row)
    {
        int i = _level.Shape.RowStart(row), stride = _level.Shape.RowStride;
        float* image = _az.Cells.Pointer, residual = _workspace.Residual.Cells.Pointer;
        _level.LateralSum(1, row, image, _finest.X[0].Pointer, residual, 1);
        _rowProducts[row] = VectorKernels.Multiply(residual + i, _z.Cells.Pointer + i, image + i, _workspace.Direction.Cells.Pointer + i, _workspace.Image.Cells.Pointer + i, stride);
    }

    private Products SumProducts()
    {
        Products sum = default;
        foreach (ref readonly var row in _rowProducts.AsSpan()) sum.Add(row);
        double[] r = _workspace.Residual.Nodes, p = _workspace.Direction.Nodes, q = _workspace.Image.Nodes, z = _z.Nodes, az = _az.Nodes;
        for (var i = 0; i < r.Length; i++) sum.Add(Products.Of(r[i], z[i], az[i], p[i], q[i]));
        return sum;
    }
}
