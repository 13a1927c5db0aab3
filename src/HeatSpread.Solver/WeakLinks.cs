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

    public static WeakLinks Find(int[] label, ConductanceGrid grid, Conductances network, (int First, int Second, double Conductance)[] nodeLinks, CancellationToken cancellationToken)
    {
        List<WeakLink> links = [];
        void AddIfWeak(int from, int to, double conductance)
        {
            if (conductance > 0 && label[from] != (to < 0 ? -1 : label[to])) links.Add(new(from, to, conductance));
        }

        int columns = grid.Columns, plane = columns * grid.Rows;
        var ofCell = network.Links.Select(l => (l.Node, Cell: (l.Sheet * plane) + (l.Row * columns) + l.Column, l.Conductance)).ToLookup(l => l.Cell);
        bool[] isLinked = new bool[ofCell.Count > 0 ? grid.CellCount : 0];
        foreach (var cell in ofCell) isLinked[cell.Key] = true;
        // Of weak links the exact conductance: what they carry is what is left between clusters.
        var exact = network.Exact;
        double East(int i) => exact == null ? network.East[i] : exact.East[i];
        double North(int i) => exact == null ? network.North[i] : exact.North[i];
        double Below(int i) => exact == null ? network.Below[i] : exact.Below[i];
        var rowStart = new int[(grid.Sheets * grid.Rows) + 1];
        for (var i = 0; i < grid.CellCount; i++)
        {
            AddIfWeak(i, -1, network.ToSinkOf(i));
            AddIfWeak(i, i + 1, East(i));
            AddIfWeak(i, i + columns, North(i));
            AddIfWeak(i, i + plane, Below(i));
            if (i >= 1) AddIfWeak(i, i - 1, East(i - 1));
            if (i >= columns) AddIfWeak(i, i - columns, North(i - columns));
            if (i >= plane) AddIfWeak(i, i - plane, Below(i - plane));
            if (isLinked.Length > 0 && isLinked[i]) foreach (var link in ofCell[i]) AddIfWeak(i, grid.CellCount + link.Node, link.Conductance);
            if ((i + 1) % columns != 0) continue;
            rowStart[(i + 1) / columns] = links.Count;
            cancellationToken.ThrowIfCancellationRequested();
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
}
