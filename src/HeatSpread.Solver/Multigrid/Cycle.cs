using HeatSpread.Solver.Kernels;

namespace HeatSpread.Solver.Multigrid;

/// <summary>
/// One V(1,1) cycle (Brandt, Math. Comp. 31, 1977) with red-black column relaxation; symmetric, so that conjugate gradients may use it: black then red
/// on the way down, red then black on the way up, nodes first and last.
/// </summary>
internal sealed unsafe class Cycle(Hierarchy hierarchy, Workspace workspace, ThreadTeam team, CancellationToken cancellationToken)
{
    /// <summary>From the right-hand side of a level to its correction, both in the workspace. The finest level's red right-hand side is zero.</summary>
    public void Run(int l)
    {
        if (l == hierarchy.Levels.Length)
        {
            SolveCoarsest();
            return;
        }

        if (cancellationToken.IsCancellationRequested) return;
        Down(l);
        Restrict(l);
        Run(l + 1);
        Up(l);
    }

    private void Down(int l)
    {
        var level = hierarchy.Levels[l];
        var w = workspace.Levels[l];
        float* red = w.X[0].Pointer, black = w.X[1].Pointer, rhs = BlackRhs(l), redRhs = RedRhs(l), residual = w.BlackResidual.Pointer;
        var fromZero = level.Nodes == null && level.Runs == null;
        if (!fromZero) CorrectFromZero(l);
        InStages(
            l,
            row =>
            {
                if (!fromZero) level.LateralSum(1, row, residual, red, 0);
                level.SolveColumns(1, row, black, rhs, fromZero ? null : residual);
                level.Nodes?.AddToColumns(1, row, black, w.NodeX);
            },
            row => Relax(l, 0, row),
            // What a black column's balance lacks now is what its red neighbours changed since it was relaxed.
            row => level.LateralSum(1, row, residual, red, fromZero ? 0 : -1));
        level.Nodes?.Residual(NodeRhs(l), w.NodeX, red, black, workspace.Nodes.Residual);
        level.Nodes?.GiveShares(residual, workspace.Nodes.Residual);
    }

    /// <summary>First of all nodes and thin runs, each alone.</summary>
    private void CorrectFromZero(int l)
    {
        var level = hierarchy.Levels[l];
        var w = workspace.Levels[l];
        float* red = w.X[0].Pointer, black = w.X[1].Pointer;
        var stride = level.Shape.RowStride;
        InStages(l, row =>
        {
            new Span<float>(red + level.Shape.RowStart(row), stride).Clear();
            if (level.Nodes != null) new Span<float>(black + level.Shape.RowStart(row), stride).Clear();
        });
        level.Nodes?.CorrectFromZero(NodeRhs(l), RedRhs(l), BlackRhs(l), red, black, w.NodeX, workspace.Nodes);
        level.Runs?.SolveFromZero(RedRhs(l), BlackRhs(l), red, w.RunChange, team);
    }

    private void Up(int l)
    {
        var level = hierarchy.Levels[l];
        var w = workspace.Levels[l];
        JoinFromCoarse(l);
        if (level.Nodes != null)
        {
            InStages(l, row => Prolong(l, row));
            AddNodes(l);
            InStages(l, row => Relax(l, 0, row), row => Relax(l, 1, row));
        }
        else
        {
            InStages(l, row => Prolong(l, row), row => Relax(l, 0, row), row => Relax(l, 1, row));
        }

        if (l == 0) return;
        level.Runs?.SolveAtEnd(level, RedRhs(l), w.X[0].Pointer, w.X[1].Pointer, w.RunChange, team);
        level.Nodes?.CorrectAtEnd(level, NodeRhs(l), RedRhs(l), w.X[0].Pointer, w.X[1].Pointer, w.NodeX, workspace.Nodes, changeRed: true);
        level.Runs?.Apply(w.X[0].Pointer, w.X[1].Pointer, w.RunChange);
    }

    private void Relax(int l, int color, int row)
    {
        var level = hierarchy.Levels[l];
        var w = workspace.Levels[l];
        level.Relax(color, row, w.X[color].Pointer, color == 0 ? RedRhs(l) : BlackRhs(l), w.X[1 - color].Pointer);
        level.Nodes?.AddToColumns(color, row, w.X[color].Pointer, w.NodeX);
    }

    private void Restrict(int l)
    {
        var shape = hierarchy.Levels[l].Shape;
        float* residual = workspace.Levels[l].BlackResidual.Pointer, weight = hierarchy.Levels[l].Weight.Pointer, natural = workspace.Natural[l].Pointer;
        team.ForRows(shape.CoarseRows, shape.RowStride, (from, end) =>
        {
            for (var row = from; row < end; row++)
            {
                for (var s = 0; s < shape.Sheets; s++)
                {
                    var to = natural + Shape.Lanes + (row * shape.RowStride) + (s * shape.Half);
                    var i = shape.RowStart(2 * row) + (s * shape.Half);
                    TransferKernels.Restrict(to, residual + i, weight + i, shape.RowStride, shape.Half);
                    SplitToCoarse(l, row, s, to);
                }
            }
        });

        var nodeRhs = l + 1 < hierarchy.Levels.Length ? workspace.Levels[l + 1].NodeRhs : workspace.CoarsestRhs.AsSpan(hierarchy.Coarsest.Cells);
        workspace.Nodes.Residual.CopyTo(nodeRhs);
    }

    private void SplitToCoarse(int l, int row, int sheet, float* natural)
    {
        if (l + 1 == hierarchy.Levels.Length)
        {
            var coarsest = hierarchy.Coarsest;
            for (var x = 0; x < coarsest.Columns; x++) workspace.CoarsestRhs[coarsest.Index(sheet, row, x)] = natural[x];
            return;
        }

        var shape = hierarchy.Levels[l + 1].Shape;
        int i = shape.RowStart(row) + (sheet * shape.Half), even = Shape.Parity(0, row);
        var rhs = workspace.Levels[l + 1].Rhs;
        TransferKernels.Split(rhs[even].Pointer + i, rhs[1 - even].Pointer + i, natural, shape.Columns);
    }

    private void Prolong(int l, int row)
    {
        var level = hierarchy.Levels[l];
        var shape = level.Shape;
        float* black = workspace.Levels[l].X[1].Pointer, natural = workspace.Natural[l].Pointer + Shape.Lanes + ((row >> 1) * shape.RowStride);
        for (var s = 0; s < shape.Sheets; s++)
        {
            var i = shape.RowStart(row) + (s * shape.Half);
            var first = natural + (s * shape.Half);
            TransferKernels.Prolong(black + i, level.Weight.Pointer + i, first, (row & 1) == 0 ? first + 1 : first + shape.RowStride, shape.Half);
        }
    }

    private void AddNodes(int l)
    {
        var level = hierarchy.Levels[l];
        var change = l + 1 < hierarchy.Levels.Length ? workspace.Levels[l + 1].NodeX : workspace.CoarsestX.AsSpan(hierarchy.Coarsest.Cells);
        level.Nodes?.TakeShares(level, workspace.Levels[l].X[1].Pointer, workspace.Natural[l].Pointer, change);
        var value = workspace.Levels[l].NodeX;
        for (var i = 0; i < value.Length; i++) value[i] += change[i];
    }

    private void JoinFromCoarse(int l)
    {
        var fine = hierarchy.Levels[l].Shape;
        team.ForRows(fine.CoarseRows, fine.RowStride, (from, end) =>
        {
            for (var row = from; row < end; row++) JoinRow(l, row);
        });
    }

    private void JoinRow(int l, int row)
    {
        var fine = hierarchy.Levels[l].Shape;
        for (var s = 0; s < fine.Sheets; s++)
        {
            var to = workspace.Natural[l].Pointer + Shape.Lanes + (row * fine.RowStride) + (s * fine.Half);
            if (l + 1 == hierarchy.Levels.Length)
            {
                for (var x = 0; x < fine.CoarseColumns; x++) to[x] = (float)workspace.CoarsestX[hierarchy.Coarsest.Index(s, row, x)];
                continue;
            }

            var shape = hierarchy.Levels[l + 1].Shape;
            int i = shape.RowStart(row) + (s * shape.Half), even = Shape.Parity(0, row);
            var x1 = workspace.Levels[l + 1].X;
            TransferKernels.Join(to, x1[even].Pointer + i, x1[1 - even].Pointer + i, shape.Columns);
        }
    }

    private void InStages(int l, params Action<int>[] stages)
    {
        if (!cancellationToken.IsCancellationRequested) team.ForRowsInStages(hierarchy.Levels[l].Shape.Rows, hierarchy.Levels[l].Shape.RowStride, stages);
    }

    private void SolveCoarsest() => hierarchy.Coarsest.Solve(workspace.CoarsestRhs, workspace.CoarsestX, workspace.CoarsestWork);

    private float* BlackRhs(int l) => l == 0 ? workspace.Residual.Cells.Pointer : workspace.Levels[l].Rhs[1].Pointer;

    private float* RedRhs(int l) => l == 0 ? null : workspace.Levels[l].Rhs[0].Pointer;

    private double[] NodeRhs(int l) => l == 0 ? workspace.Residual.Nodes : workspace.Levels[l].NodeRhs;
}
