using HeatSpread.Solver.Kernels;

namespace HeatSpread.Solver.Multigrid;

/// <summary>
/// One multigrid cycle (Brandt, Math. Comp. 31, 1977) with red-black column relaxation; symmetric, so that conjugate gradients may use it: black then red on the way down,
/// red then black on the way up, nodes first and last. Thin runs come first and last too, but on the finest level beside the coarse correction,
/// where they need no pass over memory of their own.
/// </summary>
internal sealed unsafe class Cycle
{
    /// <summary>Share of the finest level's thin runs' own solution that is taken, as the coarse correction holds some of it too.</summary>
    private const float RunShare = 0.35f;

    /// <summary>Levels of a hierarchy beyond which it counts as deep.</summary>
    private const int DeepLevels = 7;

    private readonly Hierarchy _hierarchy;
    private readonly Workspace _workspace;
    private readonly ThreadTeam _team;

    /// <summary>Whether the finest level's right-hand side is complete in the first pass only, and what nodes are to know of it was told.</summary>
    private readonly bool _isForetold;

    /// <summary>By level; put together once, as a cycle of a small network is over soon.</summary>
    private readonly Stages[] _down, _up;

    /// <param name="hierarchy">Whose levels it goes through.</param>
    /// <param name="workspace">What it works on.</param>
    /// <param name="team">Threads.</param>
    /// <param name="first">Done for each row before anything else, so that both take one pass over memory; may be null. Where it is not and there are nodes, <see cref="NodeScratch.BasisResidual"/> is to be of the right-hand side as it leaves it.</param>
    /// <param name="last">Adds stages to be done after all else; may be null.</param>
    public Cycle(Hierarchy hierarchy, Workspace workspace, ThreadTeam team, Action<int>? first, Action<Stages>? last)
    {
        (_hierarchy, _workspace, _team, _isForetold) = (hierarchy, workspace, team, first != null);
        _down = [.. hierarchy.Levels.Select((_, l) => DownStages(l, l == 0 ? first : null))];
        _up = [.. hierarchy.Levels.Select((_, l) => UpStages(l, l == 0 ? last : null))];
    }

    /// <summary>From the finest level's right-hand side (black only, the red one is zero) to its correction, both in the workspace.</summary>
    public void Run()
    {
        Down(0);
        Below(1);
        Up(0);
    }

    /// <summary>The levels from <paramref name="l"/> on: from their right-hand side to their correction.</summary>
    public void Below(int l)
    {
        if (l == _hierarchy.Levels.Length)
        {
            _hierarchy.Coarsest.Solve(_workspace.CoarsestRhs, _workspace.CoarsestX, _workspace.CoarsestWork);
            return;
        }

        Down(l);
        Below(l + 1);
        Up(l);
    }

    private void Down(int l)
    {
        var level = _hierarchy.Levels[l];
        var w = _workspace.Levels[l];
        if (level.Nodes != null) CorrectNodesFromZero(l, level.Nodes);
        _down[l].Run();
        if (level.Nodes is { } nodes)
        {
            nodes.Residual(NodeRhs(l), w.NodeX, _workspace.Nodes.OfPair, _workspace.Nodes.Residual);
            _workspace.Nodes.Residual.CopyTo(l + 1 < _hierarchy.Levels.Length ? _workspace.Levels[l + 1].NodeRhs : _workspace.CoarsestRhs.AsSpan(_hierarchy.Coarsest.Cells));
        }

        if (l == 0) level.Runs?.AddOwnSolution(w.BlackResidual.Pointer, RunShare, w.X[1].Pointer, w.RunChange.Pointer, _team);
    }

    private Stages DownStages(int l, Action<int>? first)
    {
        var level = _hierarchy.Levels[l];
        var w = _workspace.Levels[l];
        float* red = w.X[0].Pointer, black = w.X[1].Pointer, rhs = BlackRhs(l), residual = w.BlackResidual.Pointer;
        var stages = new Stages(_team, level.Shape);
        if (first != null) stages.Then(first);
        var hasRunsFirst = level.Runs != null && l > 0;
        if (level.Nodes != null || hasRunsFirst) stages.Then(row => StartRed(l, row));
        if (hasRunsFirst) stages.ThenAllRows(() => level.Runs!.SolveFromZero(RedRhs(l), BlackRhs(l), red, w.RunChange.Pointer, _team));
        // Near the row, before they are relaxed for the first time.
        bool IsRedZero(int row) => !hasRunsFirst && level.Nodes?.HasRed(row - 1, row + 1) != true;
        void Black(int row, bool isRedZero)
        {
            if (!isRedZero) level.LateralSum(1, row, residual, red, null, 0);
            level.SolveColumns(1, row, black, rhs, isRedZero ? null : residual);
            level.Nodes?.AddToColumns(1, row, black, w.NodeX);
        }

        stages.Then(row => Black(row, IsRedZero(row))).Then(row => Relax(l, 0, row));
        for (var k = 1; k < Relaxations(l); k++) stages.Then(row => Black(row, isRedZero: false)).Then(row => Relax(l, 0, row));
        // What a black column's balance lacks now is what its red neighbours changed since it was relaxed.
        stages.Then(row =>
        {
            level.LateralSum(1, row, residual, red, Relaxations(l) == 1 && IsRedZero(row) ? null : residual, -1);
            if (level.Nodes is not { } nodes) return;
            nodes.TakeFlows(0, row, red, _workspace.Nodes.OfPair);
            nodes.TakeFlows(1, row, black, _workspace.Nodes.OfPair);
            nodes.GiveShares(row, residual, _workspace.Nodes.OfPair);
        });
        return stages.Then(row => Restrict(l, row));
    }

    /// <summary>First of all nodes alone; their shapes are added to the columns by row.</summary>
    private void CorrectNodesFromZero(int l, NodeCoupling nodes)
    {
        var scratch = _workspace.Nodes;
        var residual = l == 0 ? scratch.BasisResidual : scratch.Residual;
        if (l > 0 || !_isForetold) nodes.TakeBasisResidual(NodeRhs(l), RedRhs(l), BlackRhs(l), residual);
        nodes.CorrectFromZero(residual, _workspace.Levels[l].NodeX, scratch);
    }

    /// <summary>What red columns have from their nodes. Black ones are relaxed next.</summary>
    private void StartRed(int l, int row)
    {
        var level = _hierarchy.Levels[l];
        var red = _workspace.Levels[l].X[0].Pointer;
        new Span<float>(red + level.Shape.RowStart(row), level.Shape.RowStride).Clear();
        level.Nodes?.AddToColumns(0, row, red, _workspace.Levels[l].NodeX);
    }

    private void Up(int l)
    {
        var level = _hierarchy.Levels[l];
        var w = _workspace.Levels[l];
        if (level.Nodes != null)
        {
            var change = CoarseNodeX(l);
            for (var i = 0; i < change.Length; i++) w.NodeX[i] += change[i];
        }

        _up[l].Run();
        if (l == 0) return;
        level.Runs?.SolveAtEnd(level, RedRhs(l), w.X[0].Pointer, w.X[1].Pointer, w.RunChange.Pointer, _team);
        if (level.Nodes is { } nodes)
        {
            nodes.CorrectAtEnd(NodeRhs(l), w.NodeX, _workspace.Nodes);
            for (var row = 0; row < level.Shape.Rows; row++)
            {
                nodes.AddToColumns(0, row, w.X[0].Pointer, _workspace.Nodes.Change);
                nodes.AddToColumns(1, row, w.X[1].Pointer, _workspace.Nodes.Change);
            }
        }

        level.Runs?.Apply(w.X[0].Pointer, w.X[1].Pointer, w.RunChange.Pointer);
    }

    private Stages UpStages(int l, Action<Stages>? last)
    {
        var level = _hierarchy.Levels[l];
        var w = _workspace.Levels[l];
        var scratch = _workspace.Nodes;
        float* red = w.X[0].Pointer, black = w.X[1].Pointer;
        var stages = new Stages(_team, level.Shape, comesBack: true).Then(row => JoinFromCoarse(l, row)).Then(row => Prolong(l, row));
        for (var k = 0; k < Relaxations(l); k++) stages.Then(row => Relax(l, 0, row)).Then(row => Relax(l, 1, row));
        if (level.Nodes is { } nodes)
        {
            stages.Then(row =>
            {
                nodes.TakeFlows(0, row, red, scratch.OfPair);
                nodes.TakeFlows(1, row, black, scratch.OfPair);
                nodes.AddRedColumnResiduals(level, row, RedRhs(l), red, black, w.NodeX, scratch.OfPair);
            });
            // Of the finest level's red columns nothing but their images is needed any more.
            if (l == 0) stages.ThenAllRows(() => nodes.CorrectAtEnd(NodeRhs(0), w.NodeX, scratch)).Then(row => nodes.AddToColumns(1, row, black, scratch.Change));
        }

        last?.Invoke(stages);
        return stages;
    }

    /// <summary>
    /// Relaxations of each colour before and after the coarse correction. One on the finest level is as much as all others together. Every level adds the error of its own coarse network: in deep hierarchies
    /// those from the third on relax 4 times, with which the systems of RESULTS.md with 7 million unknowns take one or two iterations less; those with 1 million take as many or one less, and a step is some percent longer.
    /// </summary>
    private int Relaxations(int l) => l switch { 0 => 1, 1 => 2, _ => _hierarchy.Levels.Length > DeepLevels ? 4 : 2 };

    private void Relax(int l, int color, int row)
    {
        var level = _hierarchy.Levels[l];
        var w = _workspace.Levels[l];
        level.Relax(color, row, w.X[color].Pointer, color == 0 ? RedRhs(l) : BlackRhs(l), w.X[1 - color].Pointer);
        level.Nodes?.AddToColumns(color, row, w.X[color].Pointer, w.NodeX);
    }

    /// <summary>To the coarse row that the even row <paramref name="fineRow"/> is.</summary>
    private void Restrict(int l, int fineRow)
    {
        if ((fineRow & 1) != 0) return;
        var shape = _hierarchy.Levels[l].Shape;
        float* residual = _workspace.Levels[l].BlackResidual.Pointer, weight = _hierarchy.Levels[l].Weight.Pointer;
        for (var s = 0; s < shape.Sheets; s++)
        {
            var to = _workspace.Natural[l].Pointer + Shape.Lanes + ((fineRow >> 1) * shape.RowStride) + (s * shape.Half);
            var i = shape.RowStart(fineRow) + (s * shape.Half);
            TransferKernels.Restrict(to, residual + i, weight + i, shape.RowStride, shape.Half);
            SplitToCoarse(l, fineRow >> 1, s, to);
        }
    }

    private void SplitToCoarse(int l, int row, int sheet, float* natural)
    {
        if (l + 1 == _hierarchy.Levels.Length)
        {
            var coarsest = _hierarchy.Coarsest;
            for (var x = 0; x < coarsest.Columns; x++) _workspace.CoarsestRhs[coarsest.Index(sheet, row, x)] = natural[x];
            return;
        }

        var shape = _hierarchy.Levels[l + 1].Shape;
        int i = shape.RowStart(row) + (sheet * shape.Half), even = Shape.Parity(0, row);
        var rhs = _workspace.Levels[l + 1].Rhs;
        TransferKernels.Split(rhs[even].Pointer + i, rhs[1 - even].Pointer + i, natural, shape.Columns);
    }

    private void Prolong(int l, int row)
    {
        var level = _hierarchy.Levels[l];
        var shape = level.Shape;
        float* black = _workspace.Levels[l].X[1].Pointer, natural = _workspace.Natural[l].Pointer + Shape.Lanes + ((row >> 1) * shape.RowStride);
        for (var s = 0; s < shape.Sheets; s++)
        {
            var i = shape.RowStart(row) + (s * shape.Half);
            var first = natural + (s * shape.Half);
            TransferKernels.Prolong(black + i, level.Weight.Pointer + i, first, (row & 1) == 0 ? first + 1 : first + shape.RowStride, shape.Half);
        }

        level.Nodes?.TakeShares(level, row, black, _workspace.Natural[l].Pointer, CoarseNodeX(l));
    }

    private Span<double> CoarseNodeX(int l) => l + 1 < _hierarchy.Levels.Length ? _workspace.Levels[l + 1].NodeX : _workspace.CoarsestX.AsSpan(_hierarchy.Coarsest.Cells);

    /// <summary>From the coarse row that the even row <paramref name="fineRow"/> is.</summary>
    private void JoinFromCoarse(int l, int fineRow)
    {
        if ((fineRow & 1) != 0) return;
        var fine = _hierarchy.Levels[l].Shape;
        var row = fineRow >> 1;
        for (var s = 0; s < fine.Sheets; s++)
        {
            var to = _workspace.Natural[l].Pointer + Shape.Lanes + (row * fine.RowStride) + (s * fine.Half);
            if (l + 1 == _hierarchy.Levels.Length)
            {
                for (var x = 0; x < fine.CoarseColumns; x++) to[x] = (float)_workspace.CoarsestX[_hierarchy.Coarsest.Index(s, row, x)];
                continue;
            }

            var shape = _hierarchy.Levels[l + 1].Shape;
            int i = shape.RowStart(row) + (s * shape.Half), even = Shape.Parity(0, row);
            var coarse = _workspace.Levels[l + 1].X;
            TransferKernels.Join(to, coarse[even].Pointer + i, coarse[1 - even].Pointer + i, shape.Columns);
        }
    }

    private float* BlackRhs(int l) => l == 0 ? _workspace.Residual.Cells.Pointer : _workspace.Levels[l].Rhs[1].Pointer;

    private float* RedRhs(int l) => l == 0 ? null : _workspace.Levels[l].Rhs[0].Pointer;

    private double[] NodeRhs(int l) => l == 0 ? _workspace.Residual.Nodes : _workspace.Levels[l].NodeRhs;
}
