using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;

namespace HeatSpread.Solver.Multigrid;

/// <summary>Adds up links of nodes to the columns of a grid, in any order, to <see cref="ColumnLinks"/>.</summary>
/// <param name="columns">Of the grid.</param>
/// <param name="rows">Of the grid.</param>
/// <param name="sheets">Of the grid.</param>
/// <param name="nodes">Number of nodes.</param>
/// <param name="expected">Pairs, about.</param>
internal sealed class ColumnLinkSum(int columns, int rows, int sheets, int nodes, int expected)
{
    private readonly Dictionary<long, int> _pair = new(expected);
    private readonly List<long> _keys = new(expected);
    private double[] _conductance = new double[Math.Max(16, expected) * sheets];

    /// <summary>The pair's conductances by sheet, to be added to at once: the next call may move them.</summary>
    public Span<double> Pair(int node, int x, int y)
    {
        var key = (((((long)Shape.ColorOf(x, y) * rows) + y) * columns) + x) * nodes + node;
        ref var pair = ref CollectionsMarshal.GetValueRefOrAddDefault(_pair, key, out var known);
        if (!known)
        {
            pair = _keys.Count;
            _keys.Add(key);
            if (_keys.Count * sheets > _conductance.Length) Array.Resize(ref _conductance, 2 * _conductance.Length);
        }

        return _conductance.AsSpan(pair * sheets, sheets);
    }

    /// <param name="least">Share of a node's strongest pair up to which a pair is left out.</param>
    /// <param name="cancellationToken">Gives it up.</param>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    public ColumnLinks Build(double least, CancellationToken cancellationToken)
    {
        long[] keys = [.. _keys];
        var order = new int[keys.Length];
        for (var k = 0; k < order.Length; k++) order[k] = k;
        cancellationToken.ThrowIfCancellationRequested();
        Array.Sort(keys, order);
        cancellationToken.ThrowIfCancellationRequested();
        double[] strongest = new double[nodes], sum = new double[keys.Length];
        for (var k = 0; k < keys.Length; k++)
        {
            foreach (var g in _conductance.AsSpan(order[k] * sheets, sheets)) sum[k] += g;
            strongest[keys[k] % nodes] = Math.Max(strongest[keys[k] % nodes], sum[k]);
        }

        cancellationToken.ThrowIfCancellationRequested();
        List<int> x = [], y = [], start = [], node = new(keys.Length);
        var conductance = new double[keys.Length * sheets];
        long last = -1;
        for (var k = 0; k < keys.Length; k++)
        {
            var (place, own) = Math.DivRem(keys[k], nodes);
            if (!(sum[k] > least * strongest[own])) continue;
            if (place != last)
            {
                start.Add(node.Count);
                x.Add((int)(place % columns));
                y.Add((int)(place / columns % rows));
                last = place;
            }

            _conductance.AsSpan(order[k] * sheets, sheets).CopyTo(conductance.AsSpan(node.Count * sheets));
            node.Add((int)own);
        }

        start.Add(node.Count);
        return new(sheets, [.. x], [.. y], [.. start], [.. node], node.Count == keys.Length ? conductance : conductance[..(node.Count * sheets)]);
    }
}
