namespace HeatSpread.Solver.Multigrid;

/// <summary>A level's network in natural order, from which its solver arrays are packed: element (x, row, sheet) is at <c>sheet * SheetStride + row * RowStride + x</c>.</summary>
internal sealed class Conductances(int columns, int rows, int sheets, int rowStride, int sheetStride, float[] east, float[] north, float[] below, float[] toSink, NodeLink[] links)
{
    public int Columns { get; } = columns;

    public int Rows { get; } = rows;

    public int Sheets { get; } = sheets;

    public int RowStride { get; } = rowStride;

    public int SheetStride { get; } = sheetStride;

    public float[] East { get; } = east;

    public float[] North { get; } = north;

    public float[] Below { get; } = below;

    public float[] ToSink { get; } = toSink;

    /// <summary>Ascending by row, column, node, sheet; at most one for each node and cell.</summary>
    public NodeLink[] Links { get; } = links;
}

/// <summary>A conductance of a node to a cell of a level, W/K.</summary>
internal readonly record struct NodeLink(int Node, int Column, int Row, int Sheet, double Conductance)
{
    /// <summary>Puts links in order and joins those of the same node and cell.</summary>
    public static NodeLink[] Merge(IEnumerable<NodeLink> links) =>
        [.. links.GroupBy(l => (l.Row, l.Column, l.Node, l.Sheet)).OrderBy(g => g.Key)
            .Select(g => g.First() with { Conductance = g.Sum(l => l.Conductance) }).Where(l => l.Conductance > 0)];
}
