using System.Runtime.CompilerServices;
using HeatSpread.Solver.Multigrid;

namespace HeatSpread.Solver;

/// <summary>
/// The clusters of a network: sets of unknowns whose links to all else, sink included, are next to nothing beside those inside. Found as in single-linkage clustering (Sibson 1973): links are
/// joined from the strongest down, and whenever all of about one strength are in, each set that grew is looked at. Clusters may lie inside each other.
/// </summary>
internal sealed class ClusterTree
{
    /// <summary>Links to the outside over links inside, below which a set is a cluster.</summary>
    public const double Weak = 1e-4;

    /// <summary>Links of one strength are of one power of 16: their exponents agree but for so many bits.</summary>
    private const int StrengthBits = 2;

    /// <summary>Zero at each unknown before which to look whether to go on.</summary>
    private const int LookMask = (1 << 18) - 1;

    private readonly CancellationToken _cancellationToken;
    private readonly ConductanceGrid _grid;
    private readonly Conductances _network;
    private readonly (int First, int Second, double Conductance)[] _nodeLinks;
    private readonly int[] _root, _next, _label;
    private readonly double[] _inside, _total;
    private readonly bool[] _grew;
    private readonly List<int> _parent = [];
    private readonly List<double> _insideOf = [], _outsideOf = [];
    private readonly SortedSet<int> _strengths = [];

    private ClusterTree(ConductanceGrid grid, Conductances network, (int First, int Second, double Conductance)[] nodeLinks, CancellationToken cancellationToken)
    {
        (_grid, _network, _nodeLinks, _cancellationToken) = (grid, network, nodeLinks, cancellationToken);
        var unknowns = grid.CellCount + grid.NodeCount;
        (_root, _next, _label) = (LargeArray.Filled(unknowns, 0, cancellationToken), LargeArray.Filled(unknowns, 0, cancellationToken), LargeArray.Filled(unknowns, -1, cancellationToken));
        (_inside, _total, _grew) = (LargeArray.Filled(unknowns, 0.0, cancellationToken), LargeArray.Filled(unknowns, 0.0, cancellationToken), LargeArray.Filled(unknowns, false, cancellationToken));
        for (var i = 0; i < unknowns; i++) (_root[i], _next[i]) = (i, i);
    }

    public static ClusterLabels Find(ConductanceGrid grid, Conductances network, (int First, int Second, double Conductance)[] nodeLinks, CancellationToken cancellationToken)
    {
        var tree = new ClusterTree(grid, network, nodeLinks, cancellationToken);
        tree.AddTotals();
        foreach (var strength in tree._strengths.Reverse())
        {
            tree.JoinAll(strength);
            tree.CollectClusters();
        }

        return new(tree._label, [.. tree._parent], [.. tree._insideOf], [.. tree._outsideOf], false) { HasOthers = true };
    }

    private static int StrengthOf(float conductance) => ((BitConverter.SingleToInt32Bits(conductance) >> 23) - 127) >> StrengthBits;

    private static int StrengthOf(double conductance) => Math.ILogB(conductance) >> StrengthBits;

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private void AddTotals()
    {
        // By exponent of a float, biased: from 0 to 255.
        var found = new bool[256];
        AddTotals(_network.East, 1, found);
        AddTotals(_network.North, _network.Columns, found);
        AddTotals(_network.Below, _network.SheetStride, found);
        for (var e = 0; e < found.Length; e++)
        {
            if (found[e]) _strengths.Add((e - 127) >> StrengthBits);
        }

        for (var i = 0; i < _grid.CellCount; i++) _total[i] += _network.ToSink[i];
        for (var node = 0; node < _grid.NodeCount; node++) _total[_grid.CellCount + node] += _grid.NodeToSink[node];
        ForNodeLinks((i, j, g) =>
        {
            _total[i] += g;
            _total[j] += g;
            _strengths.Add(StrengthOf(g));
        });
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private void AddTotals(float[] conductance, int step, bool[] found)
    {
        for (var i = 0; i < conductance.Length; i++)
        {
            if ((i & LookMask) == 0) _cancellationToken.ThrowIfCancellationRequested();
            var g = conductance[i];
            if (g <= 0) continue;
            _total[i] += g;
            _total[i + step] += g;
            found[BitConverter.SingleToInt32Bits(g) >> 23] = true;
        }
    }

    private void ForNodeLinks(Action<int, int, double> action)
    {
        foreach (var link in _network.Links) action(_grid.CellCount + link.Node, (link.Sheet * _network.SheetStride) + (link.Row * _network.RowStride) + link.Column, link.Conductance);
        foreach (var (a, b, g) in _nodeLinks) action(_grid.CellCount + a, _grid.CellCount + b, g);
    }

    private void JoinAll(int strength)
    {
        foreach (var (conductance, step) in (ReadOnlySpan<(float[], int)>)[(_network.East, 1), (_network.North, _network.Columns), (_network.Below, _network.SheetStride)])
        {
            for (int from = 0, piece = LookMask + 1; from < conductance.Length; from += piece)
            {
                _cancellationToken.ThrowIfCancellationRequested();
                JoinAll(conductance, step, strength, from, Math.Min(from + piece, conductance.Length));
            }
        }

        ForNodeLinks((i, j, g) =>
        {
            if (StrengthOf(g) == strength) Join(i, j, g);
        });
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private void JoinAll(float[] conductance, int step, int strength, int from, int to)
    {
        for (var i = from; i < to; i++)
        {
            var g = conductance[i];
            if (g > 0 && StrengthOf(g) == strength) Join(i, i + step, g);
        }
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private void Join(int i, int j, double conductance)
    {
        int a = Root(i), b = Root(j);
        if (a != b)
        {
            var (root, other) = (Math.Min(a, b), Math.Max(a, b));
            _root[other] = root;
            _inside[root] += _inside[other];
            _total[root] += _total[other];
            // Members are a ring; two rings become one where one member of each changes its successor.
            (_next[root], _next[other]) = (_next[other], _next[root]);
            a = root;
        }

        _inside[a] += conductance;
        _grew[a] = true;
    }

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private int Root(int i)
    {
        while (_root[i] != i) i = _root[i] = _root[_root[i]];
        return i;
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private void CollectClusters()
    {
        for (var i = 0; i < _root.Length; i++)
        {
            if ((i & LookMask) == 0) _cancellationToken.ThrowIfCancellationRequested();
            if (!_grew[i]) continue;
            _grew[i] = false;
            if (_root[i] == i && _total[i] - (2 * _inside[i]) < Weak * _inside[i]) Add(i);
        }
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private void Add(int root)
    {
        var cluster = _parent.Count;
        _parent.Add(-1);
        _insideOf.Add(_inside[root]);
        _outsideOf.Add(_total[root] - (2 * _inside[root]));
        int i = root, looks = 0;
        do
        {
            if ((++looks & LookMask) == 0) _cancellationToken.ThrowIfCancellationRequested();
            if (_label[i] < 0) _label[i] = cluster;
            else if (Outermost(_label[i]) is var inner && inner != cluster) _parent[inner] = cluster;
            i = _next[i];
        }
        while (i != root);
    }

    private int Outermost(int cluster)
    {
        while (_parent[cluster] >= 0) cluster = _parent[cluster];
        return cluster;
    }
}
