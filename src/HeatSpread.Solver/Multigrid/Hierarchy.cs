using System.Runtime.CompilerServices;
using System.Runtime.Intrinsics;

namespace HeatSpread.Solver.Multigrid;

/// <summary>The levels from the finest to one that a direct solver takes. Immutable once built.</summary>
internal sealed unsafe class Hierarchy
{
    /// <summary>Cells that the direct solver takes; where there are more nodes, as many as these: it has to take the nodes anyway.</summary>
    private const int DirectCells = 200;

    private readonly ScratchPool _pool;
    private int _users = 1;

    private Hierarchy(Level[] levels, int nodeCount, CoarsestSolver coarsest, ScratchPool pool) => (Levels, NodeCount, Coarsest, _pool) = (levels, nodeCount, coarsest, pool);

    /// <summary>All but the last, which <see cref="Coarsest"/> solves.</summary>
    public Level[] Levels { get; }

    public int NodeCount { get; }

    public CoarsestSolver Coarsest { get; }

    /// <summary>One more user, beside the one that built it. False where the last has left already.</summary>
    public bool TryEnter()
    {
        for (var users = Volatile.Read(ref _users); users > 0;)
        {
            var seen = Interlocked.CompareExchange(ref _users, users + 1, users);
            if (seen == users) return true;
            users = seen;
        }

        return false;
    }

    /// <summary>One user less; the last to leave gives the arrays back.</summary>
    public void Leave()
    {
        if (Interlocked.Decrement(ref _users) > 0) return;
        foreach (var level in Levels) level.Return(_pool);
    }

    /// <summary>Size, unknowns, nonzeros, node links and cells in thin runs of each level, finest first.</summary>
    public IReadOnlyList<(string Size, long Unknowns, long Nonzeros, int Links, int RunCells)> DescribeLevels()
    {
        var rows = Levels.Select(l => (Size(l.Shape.Columns, l.Shape.Rows, l.Shape.Sheets), l.Shape.Unknowns + NodeCount, l.CountNonzeros() + NodeCount, l.Nodes?.Pairs ?? 0, l.Runs?.Count ?? 0)).ToList();
        rows.Add((Size(Coarsest.Columns, Coarsest.Rows, Coarsest.Sheets), Coarsest.Unknowns, Coarsest.Nonzeros, 0, 0));
        return rows;
    }

    private static string Size(int columns, int rows, int sheets) => FormattableString.Invariant($"{columns} x {rows} x {sheets}");

    public static Hierarchy Build(Conductances finest, double[] nodeToSink, IReadOnlyCollection<(int, int, double)> nodeLinks, ConductanceRange range, ThreadTeam team, ScratchPool pool)
    {
        var links = ColumnLinks.Of(finest, nodeToSink.Length, team.Cancellation);
        var nodes = NodeMatrix.Of(nodeToSink, nodeLinks, links);
        List<Level> levels = [];
        var tiny = 1e-9f * Math.Max(1e-20f, Math.Max(Largest(finest, finest.East, team), Largest(finest, finest.North, team)));
        var current = finest;
        AlignedFloats[] coarseArrays = [];
        while ((long)current.Columns * current.Rows * current.Sheets > Math.Max(DirectCells, nodes.Count) && (current.Columns > 2 || current.Rows > 2))
        {
            team.Cancellation.ThrowIfCancellationRequested();
            var finerArrays = coarseArrays;
            (var level, current, nodes, links, coarseArrays) = BuildLevel(current, nodes, links, tiny, levels.Count == 0 ? range : null, team, pool);
            levels.Add(level);
            foreach (var floats in finerArrays) pool.Return(floats);
        }

        var coarsest = new CoarsestSolver(current, nodes, links);
        foreach (var floats in coarseArrays) pool.Return(floats);
        return new([.. levels], nodes.Count, coarsest, pool);
    }

    private static float Largest(Conductances network, float[] values, ThreadTeam team)
    {
        var ofRow = new float[network.Rows * network.Sheets];
        team.ForRows(ofRow.Length, network.Columns, (from, to) =>
        {
            for (var row = from; row < to; row++) ofRow[row] = Largest(values.AsSpan(row * network.Columns, network.Columns));
        });
        return ofRow.Max();
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private static float Largest(ReadOnlySpan<float> values)
    {
        var largest = Vector512<float>.Zero;
        var i = 0;
        for (; i + 16 <= values.Length; i += 16) largest = Vector512.Max(largest, Vector512.Create(values.Slice(i, 16)));
        float most = 0;
        for (; i < values.Length; i++) most = Math.Max(most, values[i]);
        for (var lane = 0; lane < 16; lane++) most = Math.Max(most, largest[lane]);
        return most;
    }

    /// <returns>Beside the level the network of the next, whose conductances are in the arrays to be returned to the pool.</returns>
    private static (Level Level, Conductances Coarse, NodeMatrix CoarseNodes, ColumnLinks CoarseLinks, AlignedFloats[] CoarseArrays) BuildLevel(Conductances source, NodeMatrix nodes, ColumnLinks links, float tiny, ConductanceRange? range, ThreadTeam team, ScratchPool pool)
    {
        var cancellationToken = team.Cancellation;
        var shape = new Shape(source.Columns, source.Rows, source.Sheets);
        var level = new Level(shape, pool) { Compact = range is { } r ? CompactConductances.For(r, shape, pool) : null };
        AlignedFloats[] sink = [pool.RentRows(shape, 9), pool.RentRows(shape, 10)];
        var reach = pool.RentRows(shape, 11);
        new Stages(team, shape).Then(row =>
        {
            LevelPacking.Pack(source, level, sink, row);
            level.Compact?.TakeRow(level, row);
        }).Then(row => Coarsening.Weights(level, row, tiny, reach)).Run();
        var vertical = level.Multiplier[1];
        level.Multiplier[1] = reach;
        cancellationToken.ThrowIfCancellationRequested();
        var shares = ColumnShares.Of(source, level, links, team);
        var condensation = new NodeCondensation(level, sink, nodes, links, shares, cancellationToken);
        int half = shape.Half, length = half * shape.Sheets * shape.CoarseRows;
        AlignedFloats[] arrays = [.. Enumerable.Range(0, 4).Select(_ => pool.RentAny(length))];
        var coarse = new Conductances(shape.CoarseColumns, shape.CoarseRows, shape.Sheets, half * shape.Sheets, half, arrays[0].Owner, arrays[1].Owner, arrays[2].Owner, arrays[3].Owner, []);
        team.ForRows(shape.CoarseRows, 2 * shape.RowStride, (from, to) => Coarsening.Galerkin(level, sink, coarse, from, to, pool));
        condensation.Restore();
        level.Multiplier[1] = vertical;
        pool.Return(reach);
        level.Runs = ThinRuns.Find(level, sink, links, team, pool);
        cancellationToken.ThrowIfCancellationRequested();
        links.AddTo(sink, shape);
        new Stages(team, shape).Then(row =>
        {
            LevelPacking.Factor(level, sink[0], 0, row);
            LevelPacking.Factor(level, sink[1], 1, row);
        }).Run();

        foreach (var floats in sink) pool.Return(floats);
        if (nodes.Count > 0) level.Nodes = new(level, nodes, links, shares, cancellationToken);
        return (level, coarse, condensation.CoarseNodes, condensation.CoarseLinkTable, arrays);
    }
}
