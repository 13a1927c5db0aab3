using System.Numerics;
using System.Runtime.CompilerServices;
using System.Runtime.Intrinsics;
using HeatSpread.Solver.Multigrid;

namespace HeatSpread.Solver;

/// <summary>A link between clusters, or to what is in none.</summary>
/// <param name="From">An unknown.</param>
/// <param name="To">Another; -1 for the sink.</param>
/// <param name="Conductance">W/K.</param>
internal readonly record struct WeakLink(int From, int To, double Conductance);

/// <summary>All links that lead out of clusters, once from each end: those from cells by rows, then those from nodes.</summary>
internal sealed class WeakLinks
{
    private readonly WeakLink[] _links;
    private readonly int[] _rowStart;

    private WeakLinks(WeakLink[] links, int[] rowStart) => (_links, _rowStart) = (links, rowStart);

    public static WeakLinks None { get; } = new([], []);

    public ReadOnlySpan<WeakLink> All => _links;

    public ReadOnlySpan<WeakLink> OfNodes => _links.Length == 0 ? [] : _links.AsSpan(_rowStart[^1]);

    /// <param name="row">Of one sheet, counted over all sheets.</param>
    public ReadOnlySpan<WeakLink> OfRow(int row) => _links.Length == 0 ? [] : _links.AsSpan(_rowStart[row], _rowStart[row + 1] - _rowStart[row]);

    /// <param name="label">Of each unknown its cluster, -1 for none.</param>
    /// <param name="grid">For the nodes.</param>
    /// <param name="network">The network.</param>
    /// <param name="nodeLinks">Among nodes.</param>
    /// <param name="team">Shares the rows.</param>
    public static WeakLinks Find(int[] label, ConductanceGrid grid, Conductances network, (int First, int Second, double Conductance)[] nodeLinks, ThreadTeam team)
    {
        int columns = grid.Columns, plane = columns * grid.Rows;
        var nodesOf = network.Links.ToLookup(l => (l.Sheet * plane) + (l.Row * columns) + l.Column);
        var hasNodes = new bool[grid.Sheets * grid.Rows];
        foreach (var link in network.Links) hasNodes[(link.Sheet * grid.Rows) + link.Row] = true;
        var ofRow = new List<WeakLink>?[hasNodes.Length];
        team.ForRows(ofRow.Length, columns, (from, to) =>
        {
            for (var row = from; row < to; row++) ofRow[row] = new RowSearch(label, network, row * columns).Run(hasNodes[row] ? nodesOf : null);
        });

        List<WeakLink> links = new(ofRow.Sum(of => of?.Count ?? 0));
        var rowStart = new int[ofRow.Length + 1];
        for (var row = 0; row < ofRow.Length; row++)
        {
            if (ofRow[row] is { } some) links.AddRange(some);
            rowStart[row + 1] = links.Count;
        }

        void AddIfWeak(int from, int to, double conductance)
        {
            if (IsWeak(label, from, to, conductance)) links.Add(new(from, to, conductance));
        }

        for (var node = 0; node < grid.NodeCount; node++) AddIfWeak(grid.CellCount + node, -1, grid.NodeToSink[node]);
        foreach (var link in network.Links) AddIfWeak(grid.CellCount + link.Node, (link.Sheet * plane) + (link.Row * columns) + link.Column, link.Conductance);
        foreach (var (a, b, g) in nodeLinks)
        {
            AddIfWeak(grid.CellCount + a, grid.CellCount + b, g);
            AddIfWeak(grid.CellCount + b, grid.CellCount + a, g);
        }

        return new([.. links], rowStart);
    }

    /// <summary>Links over the edge of the box are of no conductance.</summary>
    private static bool IsWeak(int[] label, int from, int to, double conductance) => conductance > 0 && label[from] != (to < 0 ? -1 : label[to]);

    /// <summary>Those of one row of cells of one sheet.</summary>
    private struct RowSearch(int[] label, Conductances network, int start)
    {
        private List<WeakLink>? _links;

        /// <param name="nodesOf">Links of nodes by cell; null where there are none in this row.</param>
        [MethodImpl(MethodImplOptions.AggressiveOptimization)]
        public List<WeakLink>? Run(ILookup<int, NodeLink>? nodesOf)
        {
            for (int end = start + network.Columns, i = start; i < end; i += Vector512<int>.Count)
            {
                var some = nodesOf == null && i + Vector512<int>.Count <= label.Length ? AtBorders(i) : ulong.MaxValue;
                if (end - i < Vector512<int>.Count) some &= (1UL << (end - i)) - 1;
                else some &= (1UL << Vector512<int>.Count) - 1;
                for (; some != 0; some &= some - 1) AddOf(i + BitOperations.TrailingZeroCount(some), nodesOf);
            }

            return _links;
        }

        /// <summary>Of as many cells as a vector has from <paramref name="i"/> on, a bit for each that has a neighbour in another cluster, or a link to the sink.</summary>
        [MethodImpl(MethodImplOptions.AggressiveInlining)]
        private readonly ulong AtBorders(int i)
        {
            int columns = network.Columns, plane = columns * network.Rows;
            var own = Vector512.LoadUnsafe(ref label[i]);
            var differ = (own ^ Near(i - 1, own)) | (own ^ Near(i + 1, own)) | (own ^ Near(i - columns, own)) | (own ^ Near(i + columns, own)) | (own ^ Near(i - plane, own)) | (own ^ Near(i + plane, own));
            var sink = i + Vector512<int>.Count <= network.ToSink.Length ? Vector512.LoadUnsafe(ref network.ToSink[i]) : Vector512<float>.One;
            return ~Vector512.Equals(differ, Vector512<int>.Zero).ExtractMostSignificantBits() | ~Vector512.Equals(sink, Vector512<float>.Zero).ExtractMostSignificantBits();
        }

        /// <summary>Labels from a place on; where there are not so many, others than those of the cells, which are then looked at one by one.</summary>
        [MethodImpl(MethodImplOptions.AggressiveInlining)]
        private readonly Vector512<int> Near(int at, Vector512<int> own) => at >= 0 && at + Vector512<int>.Count <= label.Length ? Vector512.LoadUnsafe(ref label[at]) : ~own;

        [MethodImpl(MethodImplOptions.AggressiveOptimization)]
        private void AddOf(int i, ILookup<int, NodeLink>? nodesOf)
        {
            int columns = network.Columns, plane = columns * network.Rows;
            // The exact conductance: what weak links carry is what is left between clusters.
            AddIfWeak(i, -1, network.ToSinkOf(i));
            AddIfWeak(i, i + 1, network.EastOf(i));
            AddIfWeak(i, i + columns, network.NorthOf(i));
            AddIfWeak(i, i + plane, network.BelowOf(i));
            if (i >= 1) AddIfWeak(i, i - 1, network.EastOf(i - 1));
            if (i >= columns) AddIfWeak(i, i - columns, network.NorthOf(i - columns));
            if (i >= plane) AddIfWeak(i, i - plane, network.BelowOf(i - plane));
            foreach (var link in nodesOf?[i] ?? []) AddIfWeak(i, (network.Sheets * plane) + link.Node, link.Conductance);
        }

        private void AddIfWeak(int from, int to, double conductance)
        {
            if (IsWeak(label, from, to, conductance)) (_links ??= []).Add(new(from, to, conductance));
        }
    }
}
