using HeatSpread.Solver.Multigrid;

namespace HeatSpread.Solver;

/// <summary>The links of the user's network in double, found by the row of cells that they end on.</summary>
internal sealed class NodeLinkTable
{
    private readonly ConductanceGrid _grid;
    private readonly NodeLink[] _links;
    private readonly (int First, int Second, double Conductance)[] _nodeLinks;
    private readonly int[] _rowStart;

    public NodeLinkTable(ConductanceGrid grid, NodeLink[] links, (int First, int Second, double Conductance)[] nodeLinks)
    {
        (_grid, _nodeLinks) = (grid, nodeLinks);
        _links = new NodeLink[links.Length];
        _rowStart = new int[links.Length > 0 ? (grid.Sheets * grid.Rows) + 1 : 0];
        foreach (var l in links) _rowStart[(l.Sheet * grid.Rows) + l.Row + 1]++;
        for (var i = 1; i < _rowStart.Length; i++) _rowStart[i] += _rowStart[i - 1];
        // Counting sort, which leaves those of one row in their order: by column, then node.
        int[] next = [.. _rowStart];
        foreach (var l in links) _links[next[(l.Sheet * grid.Rows) + l.Row]++] = l;
    }

    /// <summary>residual[x] += what the nodes give to the cells of one row of one sheet.</summary>
    public void AddFlows(int sheet, int row, ReadOnlySpan<double> temperature, Span<double> residual)
    {
        if (_links.Length == 0) return;
        var at = (sheet * _grid.Rows) + row;
        for (var k = _rowStart[at]; k < _rowStart[at + 1]; k++)
            residual[_links[k].Column] += _links[k].Conductance * (temperature[_grid.CellCount + _links[k].Node] - temperature[(at * _grid.Columns) + _links[k].Column]);
    }

    /// <summary>Residuals of the nodes.</summary>
    public void TakeNodeResiduals(ReadOnlySpan<double> heat, ReadOnlySpan<double> temperature, double[] residual)
    {
        int cells = _grid.CellCount;
        for (var i = 0; i < residual.Length; i++) residual[i] = heat[cells + i] - (_grid.NodeToSink[i] * temperature[cells + i]);
        foreach (var l in _links) residual[l.Node] += l.Conductance * (temperature[(((l.Sheet * _grid.Rows) + l.Row) * _grid.Columns) + l.Column] - temperature[cells + l.Node]);
        foreach (var (a, b, g) in _nodeLinks)
        {
            var flow = g * (temperature[cells + a] - temperature[cells + b]);
            residual[a] -= flow;
            residual[b] += flow;
        }
    }
}
