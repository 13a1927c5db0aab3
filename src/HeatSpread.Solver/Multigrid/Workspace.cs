namespace HeatSpread.Solver.Multigrid;

/// <summary>All that one solve writes on, so that one hierarchy serves many solves at once.</summary>
internal sealed class Workspace : IDisposable
{
    private readonly ScratchPool _pool;
    private readonly List<AlignedFloats> _rented;

    private Workspace(Hierarchy hierarchy, ScratchPool pool, List<AlignedFloats> rented, ThreadTeam team)
    {
        (_pool, _rented) = (pool, rented);
        Levels = [.. hierarchy.Levels.Select((level, l) => new LevelWorkspace(level.Shape, hierarchy.NodeCount, level.Runs?.Count ?? 0, l == 0, Rent))];
        Natural = [.. hierarchy.Levels.Select(level => Rent(((level.Shape.CoarseRows + 1) * level.Shape.RowStride) + (2 * Shape.Lanes), 0))];
        CoarsestRhs = new double[hierarchy.Coarsest.Unknowns];
        CoarsestX = new double[hierarchy.Coarsest.Unknowns];
        CoarsestWork = new double[hierarchy.Coarsest.Unknowns];
        Nodes = new(hierarchy.NodeCount);
        var length = hierarchy.Levels.Length > 0 ? hierarchy.Levels[0].Shape.Length : 0;
        int nodes = hierarchy.NodeCount;
        (Residual, Direction, Image, Correction) =
            (new(Rent(length, 14), new double[nodes]), new(Rent(length, 15), new double[nodes]), new(Rent(length, 9), new double[nodes]), new(Rent(length, 8), new double[nodes]));

        AlignedFloats Rent(int length, int skew)
        {
            var floats = pool.Rent(length, skew, team);
            rented.Add(floats);
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

internal sealed class LevelWorkspace(Shape shape, int nodes, int runCells, bool finest, Func<int, int, AlignedFloats> rent)
{
    /// <summary>By colour. Of the finest level the red one holds the residual at the start of a round, the black one is empty.</summary>
    public AlignedFloats[] Rhs { get; } = [rent(shape.Length, 9), rent(finest ? 0 : shape.Length, 10)];

    public AlignedFloats[] X { get; } = [rent(shape.Length, 11), rent(shape.Length, 12)];

    public AlignedFloats BlackResidual { get; } = rent(shape.Length, 13);

    /// <summary>Last changes of the cells in thin runs.</summary>
    public AlignedFloats RunChange { get; } = rent(runCells, 0);

    public double[] NodeRhs { get; } = new double[nodes];

    public double[] NodeX { get; } = new double[nodes];
}
