using System.Buffers;
using System.Runtime.CompilerServices;

namespace HeatSpread.Solver.Multigrid;

/// <summary>
/// Coarsening near nodes. A column tied to nodes that is not on the coarse grid takes from each node its share and only the rest from the coarse columns
/// around. So the part of its conductances that belongs to a node becomes conductance of that node (star-mesh elimination, exact for one column):
/// without this, a pad would grow by one coarse cell on every level and tie the whole board together. With T the column's matrix, g a node's conductances to it and φ = T⁻¹ g the node's shares, elimination links the
/// node to each neighbour by φ times the lateral conductance, and to each other node by φ · g. What is left between the neighbours is, exactly, what a column makes whose lateral and sink conductances are times the
/// rest r = 1 − Σ φ, and whose vertical ones are times r of both their ends; no vertical one is the node's.
/// </summary>
internal sealed unsafe class NodeCondensation
{
    /// <summary>Share of a node's strongest coarse column up to which one is left out: the fringe of far neighbours. A share of all links would leave out every column of a wide pad.</summary>
    private const double Negligible = 1e-2;

    /// <summary>Most conductances of a cell that change: to four neighbours, below and to the sink.</summary>
    private const int ChangesOfCell = 6;

    private static readonly (int X, int Y)[] Directions = [(1, 0), (-1, 0), (0, 1), (0, -1)];
    private readonly Level _level;
    private readonly AlignedFloats[] _sink;
    private readonly ColumnLinks _links;
    private readonly ColumnShares _shares;
    private readonly ColumnLinkSum _fine;
    private readonly SymmetricSum _joins;
    private readonly double[] _toSink, _lateral;
    /// <summary>Of the shared pool, as it is needed for one level's set-up only, and too long to be made each time.</summary>
    private readonly (nint Place, float Value)[] _changed;
    private int _changes;

    /// <summary>Changes the level's conductances to what the coarse columns are to be made of, until <see cref="Restore"/>.</summary>
    public NodeCondensation(Level level, AlignedFloats[] sink, NodeMatrix nodes, ColumnLinks links, ColumnShares shares, CancellationToken cancellationToken)
    {
        var shape = level.Shape;
        (_level, _sink, _links, _shares, _toSink, _lateral) = (level, sink, links, shares, [.. nodes.ToSink], new double[shape.Sheets]);
        _fine = new(shape.Columns, shape.Rows, shape.Sheets, nodes.Count, links.Pairs);
        _changed = ArrayPool<(nint, float)>.Shared.Rent(links.Columns * shape.Sheets * ChangesOfCell);
        _joins = new([.. nodes.Joins.Diagonal]);
        _joins.AddEntries(nodes.Joins);
        for (var c = 0; c < links.Columns; c++)
        {
            cancellationToken.ThrowIfCancellationRequested();
            if (links.IsCoarse(c)) KeepLinks(c);
            else Eliminate(c);
        }

        CoarseLinkTable = CoarseLinks.Of(level, _fine.Build(least: 0, cancellationToken), nodes.Count, Negligible, cancellationToken);
        CoarseNodes = new(_toSink, _joins.Build(), CoarseLinkTable);
    }

    /// <summary>Links of the coarse network.</summary>
    public ColumnLinks CoarseLinkTable { get; }

    public NodeMatrix CoarseNodes { get; }

    /// <summary>Once.</summary>
    public void Restore()
    {
        for (var k = _changes - 1; k >= 0; k--) *(float*)_changed[k].Place = _changed[k].Value;
        ArrayPool<(nint, float)>.Shared.Return(_changed);
    }

    private void Set(float* place, double value)
    {
        _changed[_changes++] = ((nint)place, *place);
        *place = (float)value;
    }

    private (int From, int To) PairsOf(int column) => (_links.Start[column], _links.Start[column + 1]);

    private void KeepLinks(int c)
    {
        var (from, to) = PairsOf(c);
        for (var pair = from; pair < to; pair++)
        {
            var sum = _fine.Pair(_links.Node[pair], _links.X[c], _links.Y[c]);
            for (var s = 0; s < sum.Length; s++) sum[s] += _links.Of(pair)[s];
        }
    }

    private void Eliminate(int c)
    {
        foreach (var direction in Directions) SplitLateral(c, direction);
        SplitVertical(c);
        SplitSink(c);
        JoinNodes(c);
    }

    private void SplitLateral(int c, (int X, int Y) direction)
    {
        int x = _links.X[c] + direction.X, y = _links.Y[c] + direction.Y;
        if (x < 0 || y < 0 || x >= _level.Shape.Columns || y >= _level.Shape.Rows) return;
        var other = ((x | y) & 1) == 0 ? -1 : _links.Find(x, y);
        if (other >= 0 && (direction.X < 0 || direction.Y < 0)) return;
        var place = _level.LateralPlace(_links.X[c], _links.Y[c], direction.X, direction.Y, 0);
        for (var s = 0; s < _lateral.Length; s++) _lateral[s] = place[s * _level.Shape.Half];
        LinkPairs(c, x, y, other);
        if (other >= 0)
        {
            LinkPairs(other, _links.X[c], _links.Y[c], c);
            JoinPairs(c, other);
        }

        var rest = _shares.Rest(c);
        for (var s = 0; s < _lateral.Length; s++) Set(place + (s * _level.Shape.Half), _lateral[s] * rest[s] * (other >= 0 ? _shares.Rest(other)[s] : 1));
    }

    /// <summary>Links the nodes of a column to its neighbour at (x, y), which is column <paramref name="other"/> where that is eliminated too.</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private void LinkPairs(int c, int x, int y, int other)
    {
        var (from, to) = PairsOf(c);
        for (var pair = from; pair < to; pair++)
        {
            var share = _shares.Of(pair);
            var sum = _fine.Pair(_links.Node[pair], x, y);
            if (other < 0) for (var s = 0; s < sum.Length; s++) sum[s] += _lateral[s] * share[s];
            else for (var s = 0; s < sum.Length; s++) sum[s] += _lateral[s] * share[s] * _shares.Rest(other)[s];
        }
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private void JoinPairs(int c, int other)
    {
        var ((from, to), (otherFrom, otherTo)) = (PairsOf(c), PairsOf(other));
        for (var p = from; p < to; p++)
        {
            for (var q = otherFrom; q < otherTo; q++) _joins.Join(_links.Node[p], _links.Node[q], NodeCoupling.Sum(_lateral, _shares.Of(p), _shares.Of(q)));
        }
    }

    private void SplitVertical(int c)
    {
        var vertical = _level.Multiplier[_links.Color(c)].Pointer + _level.Shape.ColumnStart(_links.X[c], _links.Y[c]);
        var rest = _shares.Rest(c);
        for (int s = 0, half = _level.Shape.Half; s + 1 < rest.Length; s++) Set(vertical + (s * half), vertical[s * half] * rest[s] * rest[s + 1]);
    }

    private void SplitSink(int c)
    {
        var sink = _sink[_links.Color(c)].Pointer + _level.Shape.ColumnStart(_links.X[c], _links.Y[c]);
        var (from, to) = PairsOf(c);
        var rest = _shares.Rest(c);
        for (var s = 0; s < rest.Length; s++)
        {
            double g = sink[s * _level.Shape.Half];
            if (g == 0) continue;
            for (var pair = from; pair < to; pair++) _toSink[_links.Node[pair]] += g * _shares.Of(pair)[s];
            Set(sink + (s * _level.Shape.Half), g * rest[s]);
        }
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private void JoinNodes(int c)
    {
        var (from, to) = PairsOf(c);
        for (var p = from; p < to; p++)
        {
            for (var q = p + 1; q < to; q++) _joins.Join(_links.Node[p], _links.Node[q], NodeCoupling.Sum(_shares.Of(p), _links.Of(q)));
        }
    }
}
