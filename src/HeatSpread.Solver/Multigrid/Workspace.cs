namespace HeatSpread.Solver.Multigrid;

/// <summary>All that one solve writes on, so that one hierarchy serves many solves at once.</summary>
internal sealed class Workspace : IDisposable
{
    private readonly ScratchPool _pool;
    private readonly List<AlignedFloats> _rented;

    private Workspace(Hierarchy hierarchy, ScratchPool pool, List<AlignedFloats> rented, ThreadTeam team)
    {
        (_pool, _rented) = (pool, rented);
        Levels = [.. hierarchy.Levels.Select((level, l) => new LevelWorkspace(hierarchy.NodeCount, l == 0, (color, skew) => RentCells(level.Shape, color, skew), Rent(level.Runs?.Count ?? 0, 0)))];
        Natural = [.. hierarchy.Levels.Select(level => Rent(((level.Shape.CoarseRows + 1) * level.Shape.RowStride) + (2 * Shape.Lanes), 0))];
        CoarsestRhs = new double[hierarchy.Coarsest.Unknowns];
        CoarsestX = new double[hierarchy.Coarsest.Unknowns];
        CoarsestWork = new double[hierarchy.Coarsest.Unknowns];
        Nodes = new(hierarchy.NodeCount, hierarchy.Levels.Select(level => level.Nodes?.Pairs ?? 0).DefaultIfEmpty().Max());
        var finest = hierarchy.Levels.Length > 0 ? hierarchy.Levels[0].Shape : default;
        var length = hierarchy.Levels.Length > 0 ? finest.Length : 0;
        int nodes = hierarchy.NodeCount;
        // Direction and image wholly zeros: the first step is made conjugate to them.
        (Residual, Direction, Image, Correction) =
            (new(RentCells(finest, 1, 14), new double[nodes]), new(Rent(length, 15), new double[nodes]), new(Rent(length, 9), new double[nodes]), new(RentCells(finest, 1, 8), new double[nodes]));

        AlignedFloats Rent(int length, int skew)
        {
            var floats = pool.Rent(length, skew, team);
            rented.Add(floats);
            return floats;
        }

        // Zeros at all places that no cell has. The others are written before they are read: clearing them too took some percent of a solve.
        AlignedFloats RentCells(Shape shape, int color, int skew)
        {
            var floats = pool.RentRows(shape, skew);
            rented.Add(floats);
            team.ForRows(shape.Rows, shape.Sheets * Shape.Lanes, (from, to) =>
            {
                for (var row = from; row < to; row++) shape.ClearEmpty(floats, color, row);
            });
            return floats;
        }
    }

    /// <param name="hierarchy">Of the solve.</param>
    /// <param name="pool">Gets all back.</param>
    /// <param name="team">Clears it.</param>
    /// <exception cref="OperationCanceledException">As the team's token asks; all is back in the pool then.</exception>
    public static Workspace Rent(Hierarchy hierarchy, ScratchPool pool, ThreadTeam team)
    {
        List<AlignedFloats> rented = [];
        try
        {
            return new(hierarchy, pool, rented, team);
        }
        catch (OperationCanceledException)
        {
            foreach (var floats in rented) pool.Return(floats);
            throw;
        }
    }

    public LevelWorkspace[] Levels { get; }

    /// <summary>For each level the next coarser one's right-hand side, then correction, in natural order.</summary>
    public AlignedFloats[] Natural { get; }

    public double[] CoarsestRhs { get; }

    public double[] CoarsestX { get; }

    public double[] CoarsestWork { get; }

    public NodeScratch Nodes { get; }

    /// <summary>The vectors of the conjugate gradients.</summary>
    public ReducedVector Residual { get; }

    public ReducedVector Direction { get; }

    public ReducedVector Image { get; }

    public ReducedVector Correction { get; }

    public void Dispose()
    {
        foreach (var floats in _rented) _pool.Return(floats);
        _rented.Clear();
    }
}

/// <summary>A vector over the black cells of the finest level and the nodes.</summary>
internal sealed class ReducedVector(AlignedFloats cells, double[] nodes)
{
    public AlignedFloats Cells { get; } = cells;

    public double[] Nodes { get; } = nodes;
}

/// <param name="nodes">Nodes.</param>
/// <param name="finest">Whether it is the finest level's.</param>
/// <param name="rentCells">An array of the level's shape for the cells of a colour.</param>
/// <param name="runChange">One for each cell in a thin run.</param>
internal sealed class LevelWorkspace(int nodes, bool finest, Func<int, int, AlignedFloats> rentCells, AlignedFloats runChange)
{
    /// <summary>By colour. Of the finest level the red one holds the residual at the start of a round, and there is no black one.</summary>
    public AlignedFloats[] Rhs { get; } = finest ? [rentCells(0, 9)] : [rentCells(0, 9), rentCells(1, 10)];

    public AlignedFloats[] X { get; } = [rentCells(0, 11), rentCells(1, 12)];

    public AlignedFloats BlackResidual { get; } = rentCells(1, 13);

    /// <summary>Last changes of the cells in thin runs.</summary>
    public AlignedFloats RunChange { get; } = runChange;

    public double[] NodeRhs { get; } = new double[nodes];

    public double[] NodeX { get; } = new double[nodes];
}
