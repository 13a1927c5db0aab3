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
    /// <param name="cancellationToken">Gives it up.</param>
    public static WeakLinks Find(int[] label, ConductanceGrid grid, Conductances network, (int First, int Second, double Conductance)[] nodeLinks, CancellationToken cancellationToken)
    {
        int columns = grid.Columns, plane = columns * grid.Rows;
        var nodesOf = network.Links.ToLookup(l => (l.Sheet * plane) + (l.Row * columns) + l.Column);
        var hasNodes = new bool[grid.Sheets * grid.Rows];
        foreach (var link in network.Links) hasNodes[(link.Sheet * grid.Rows) + link.Row] = true;
        var ofRow = new List<WeakLink>?[hasNodes.Length];
        Parallel.For(0, ofRow.Length, new ParallelOptions { CancellationToken = cancellationToken }, row => ofRow[row] = new RowSearch(label, network, row * columns).Run(hasNodes[row] ? nodesOf : null));

        List<WeakLink> links = new(ofRow.Sum(of => of?.Count ?? 0));
        var rowStart = new int[ofRow.Length + 1];
        for (var row = 0; row < ofRow.Length; row++)
        {
            if (ofRow[row] is { } some) links.AddRange(some);
            rowStart[row + 1] = links.Count;
        }

        void AddIfWeak(int from, int to, double conductance)
        {
            if (conductance > 0 && label[from] != (to < 0 ? -1 : label[to])) links.Add(new(from, to, conductance));
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

    /// <summary>Those of one row of cells of one sheet.</summary>
    private struct RowSearch(int[] label, Conductances network, int start)
    {
        private List<WeakLink>? _links;

        [MethodImpl(MethodImplOptions.AggressiveOptimization)]
        public List<WeakLink>? Run(ILookup<int, NodeLink>? nodesOf)
        {
            int columns = network.Columns, plane = columns * network.Rows;
            var exact = network.Exact;
            for (var i = start; i < start + columns; i++)
            {
                if (nodesOf == null && AreAlone(i, columns, plane))
                {
                    i += Vector512<int>.Count - 1;
                    continue;
                }

                // The exact conductance: what weak links carry is what is left between clusters.
                AddIfWeak(i, -1, network.ToSinkOf(i));
                AddIfWeak(i, i + 1, exact == null ? network.East[i] : exact.East[i]);
                AddIfWeak(i, i + columns, exact == null ? network.North[i] : exact.North[i]);
                AddIfWeak(i, i + plane, exact == null ? network.Below[i] : exact.Below[i]);
                if (i >= 1) AddIfWeak(i, i - 1, exact == null ? network.East[i - 1] : exact.East[i - 1]);
                if (i >= columns) AddIfWeak(i, i - columns, exact == null ? network.North[i - columns] : exact.North[i - columns]);
                if (i >= plane) AddIfWeak(i, i - plane, exact == null ? network.Below[i - plane] : exact.Below[i - plane]);
                foreach (var link in nodesOf?[i] ?? []) AddIfWeak(i, (network.Sheets * plane) + link.Node, link.Conductance);
            }

            return _links;
        }

        /// <summary>Whether the next cells, as many as a vector has, and all about them are in one cluster, and nothing leads from them to the sink.</summary>
        [MethodImpl(MethodImplOptions.AggressiveInlining)]
        private readonly bool AreAlone(int i, int columns, int plane)
        {
            if (i + Vector512<int>.Count > start + columns || i < plane || i + plane + Vector512<int>.Count > label.Length) return false;
            ref var at = ref label[i];
            var own = Vector512.LoadUnsafe(ref at);
            var differ = (own ^ Vector512.LoadUnsafe(ref label[i - 1])) | (own ^ Vector512.LoadUnsafe(ref label[i + 1]))
                | (own ^ Vector512.LoadUnsafe(ref label[i - columns])) | (own ^ Vector512.LoadUnsafe(ref label[i + columns]))
                | (own ^ Vector512.LoadUnsafe(ref label[i - plane])) | (own ^ Vector512.LoadUnsafe(ref label[i + plane]));
            return differ == Vector512<int>.Zero && Vector512.LoadUnsafe(ref network.ToSink[i]) == Vector512<float>.Zero;
        }

        private void AddIfWeak(int from, int to, double conductance)
        {
            // A link over the edge of the box is of no conductance.
            if (conductance > 0 && label[from] != (to < 0 ? -1 : label[to])) (_links ??= []).Add(new(from, to, conductance));
        }
    }
}
