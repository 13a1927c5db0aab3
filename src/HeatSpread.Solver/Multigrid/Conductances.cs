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

    /// <summary>Of the user's network, ascending by row, column, node, sheet, at most one for each node and cell; coarse levels have <see cref="ColumnLinks"/> instead.</summary>
    public NodeLink[] Links { get; } = links;
}

/// <summary>A conductance of a node to a cell of a level, W/K.</summary>
internal readonly record struct NodeLink(int Node, int Column, int Row, int Sheet, double Conductance)
{
    /// <summary>Puts links in order and joins those of the same node and cell.</summary>
    public static NodeLink[] Merge(IEnumerable<NodeLink> links)
    {
        NodeLink[] sorted = [.. links];
        Array.Sort(Array.ConvertAll(sorted, link => (link.Place, link.Tie)), sorted);
        var count = 0;
        for (var k = 0; k < sorted.Length; k++)
        {
            var same = count > 0 && sorted[count - 1].Place == sorted[k].Place && sorted[count - 1].Tie == sorted[k].Tie;
            if (same) sorted[count - 1] = sorted[count - 1] with { Conductance = sorted[count - 1].Conductance + sorted[k].Conductance };
            else sorted[count++] = sorted[k];
        }

        return [.. sorted.Take(count).Where(l => l.Conductance > 0)];
    }

    private long Place => ((long)Row << 32) | (uint)Column;

    private long Tie => ((long)Node << 32) | (uint)Sheet;
}
