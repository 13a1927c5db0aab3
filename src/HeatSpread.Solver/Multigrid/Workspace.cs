using System.Collections.Concurrent;

namespace HeatSpread.Solver.Multigrid;

/// <summary>All that one solve writes on, so that one hierarchy serves many solves at once.</summary>
internal sealed class Workspace
{
    public Workspace(Hierarchy hierarchy)
    {
        Levels = [.. hierarchy.Levels.Select((level, l) => new LevelWorkspace(level.Shape, hierarchy.NodeCount, level.Runs?.Count ?? 0))];
        Natural = [.. hierarchy.Levels.Select(level => new AlignedFloats(((level.Shape.CoarseRows + 1) * level.Shape.RowStride) + (2 * Shape.Lanes)))];
        LastRed = new(hierarchy.Levels.Length > 0 ? hierarchy.Levels[0].Shape.Length : 0, 10);
        CoarsestRhs = new double[hierarchy.Coarsest.Unknowns];
        CoarsestX = new double[hierarchy.Coarsest.Unknowns];
        CoarsestWork = new double[hierarchy.Coarsest.Unknowns];
        Nodes = new(hierarchy.NodeCount);
        var length = hierarchy.Levels.Length > 0 ? hierarchy.Levels[0].Shape.Length : 0;
        int nodes = hierarchy.NodeCount;
        (Residual, Direction, Image, Correction) = (new(length, nodes, 14), new(length, nodes, 15), new(length, nodes, 9), new(length, nodes, 8));
    }

    public LevelWorkspace[] Levels { get; }

    /// <summary>For each level the next coarser one's right-hand side, then correction, in natural order.</summary>
    public AlignedFloats[] Natural { get; }

    /// <summary>Red values of the finest level after the last relaxation of a cycle.</summary>
    public AlignedFloats LastRed { get; }

    public double[] CoarsestRhs { get; }

    public double[] CoarsestX { get; }

    public double[] CoarsestWork { get; }

    public NodeScratch Nodes { get; }

    /// <summary>The vectors of the conjugate gradients.</summary>
    public ReducedVector Residual { get; }

    public ReducedVector Direction { get; }

    public ReducedVector Image { get; }

    public ReducedVector Correction { get; }
}

/// <summary>A vector over the black cells of the finest level and the nodes.</summary>
internal sealed class ReducedVector(AlignedFloats cells, double[] nodes)
{
    public ReducedVector(int length, int nodes, int skew)
        : this(new(length, skew), new double[nodes])
    {
    }

    public AlignedFloats Cells { get; } = cells;

    public double[] Nodes { get; } = nodes;

    public void Clear()
    {
        Cells.Span.Clear();
        Nodes.AsSpan().Clear();
    }
}

internal sealed class LevelWorkspace(Shape shape, int nodes, int runCells)
{
    /// <summary>By colour. Of the finest level the red one holds the residual at the start of a round, the black one is not used.</summary>
    public AlignedFloats[] Rhs { get; } = [new(shape.Length, 9), new(shape.Length, 10)];

    public AlignedFloats[] X { get; } = [new(shape.Length, 11), new(shape.Length, 12)];

    public AlignedFloats BlackResidual { get; } = new(shape.Length, 13);

    /// <summary>Last changes of the cells in thin runs.</summary>
    public float[] RunChange { get; } = new float[runCells];

    public double[] NodeRhs { get; } = new double[nodes];

    public double[] NodeX { get; } = new double[nodes];
}

/// <summary>Workspaces wait here between solves.</summary>
internal sealed class WorkspacePool(Hierarchy hierarchy)
{
    private readonly ConcurrentBag<Workspace> _free = [];

    public Workspace Rent() => _free.TryTake(out var workspace) ? workspace : new(hierarchy);

    public void Return(Workspace workspace) => _free.Add(workspace);
}
