namespace HeatSpread.Solver.Multigrid;

/// <summary>Work on all rows of a level, stage by stage in one pass over memory; the passes are parted only where something needs all rows of one stage before the next.</summary>
internal sealed class Stages(ThreadTeam team, Shape shape)
{
    private readonly List<Action<int>> _rows = [];

    /// <param name="row">As in <see cref="ThreadTeam.ForRowsInStages"/>; null for nothing.</param>
    public Stages Then(Action<int>? row)
    {
        if (row != null) _rows.Add(row);
        return this;
    }

    /// <summary>Runs the stages so far, then <paramref name="step"/>.</summary>
    public void ThenAllRows(Action step)
    {
        Run();
        step();
    }

    public void Run()
    {
        if (_rows.Count > 0) team.ForRowsInStages(shape.Rows, shape.RowStride, [.. _rows]);
        _rows.Clear();
    }
}
