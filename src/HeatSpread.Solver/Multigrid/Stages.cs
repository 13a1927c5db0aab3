namespace HeatSpread.Solver.Multigrid;

/// <summary>Work on all rows of a level, stage by stage in one pass over memory; the passes are parted only where something needs all rows of one stage before the next. Put together once, run any number of times.</summary>
/// <param name="team">Threads.</param>
/// <param name="shape">Of the level.</param>
/// <param name="comesBack">Whether the first pass comes back, as in <see cref="ThreadTeam.ForRowsInStages"/>; if so, every other one after it does.</param>
internal sealed class Stages(ThreadTeam team, Shape shape, bool comesBack = false)
{
    private readonly List<Action<int>> _rows = [];

    /// <summary>What is done before the stages of <see cref="_rows"/>: those of a pass, then a step.</summary>
    private readonly List<(Action<int>[] Rows, Action Step)> _passes = [];

    private Action<int>[]? _last;

    /// <param name="row">As in <see cref="ThreadTeam.ForRowsInStages"/>.</param>
    public Stages Then(Action<int> row)
    {
        _rows.Add(row);
        _last = null;
        return this;
    }

    /// <summary>After all rows of the stages so far, and before any of those to come.</summary>
    public Stages ThenAllRows(Action step)
    {
        _passes.Add(([.. _rows], step));
        _rows.Clear();
        _last = null;
        return this;
    }

    public void Run()
    {
        var isBack = comesBack;
        foreach (var (rows, step) in _passes)
        {
            RunRows(rows, ref isBack);
            step();
        }

        RunRows(_last ??= [.. _rows], ref isBack);
    }

    private void RunRows(Action<int>[] rows, ref bool isBack)
    {
        if (rows.Length == 0) return;
        team.ForRowsInStages(shape.Rows, shape.RowStride, isBack, rows);
        isBack = comesBack && !isBack;
    }
}
