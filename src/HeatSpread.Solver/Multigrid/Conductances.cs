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

    /// <summary>The user's network in double, where it is given so; floating pieces are still in it. Null: the others are exact, as those of coarse levels are.</summary>
    public DoubleConductances? Exact { get; init; }

    /// <summary>Sheet by sheet, all conductances to the sink of each row together, W/K. Empty in networks of which no residual is taken.</summary>
    public double[] SinkOfRow { get; init; } = [];

    /// <summary>Whether any cell of the row has a way to the sink of its own. Inside a board without films on its edges none has.</summary>
    public bool HasSink(int sheet, int row) => SinkOfRow[(sheet * Rows) + row] > 0;

    /// <summary>Exact, as the others below: to be used where a clear sum of many or a small difference is wanted, W/K.</summary>
    public double ToSinkOf(int cell) => Exact == null ? ToSink[cell] : Exact.ToSink[cell];

    public double EastOf(int cell) => Exact == null ? East[cell] : Exact.East[cell];

    public double NorthOf(int cell) => Exact == null ? North[cell] : Exact.North[cell];

    public double BelowOf(int cell) => Exact == null ? Below[cell] : Exact.Below[cell];

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
        long columns = 0, nodes = 0, sheets = 0;
        foreach (var l in sorted) (columns, nodes, sheets) = (Math.Max(columns, l.Column + 1), Math.Max(nodes, l.Node + 1), Math.Max(sheets, l.Sheet + 1));
        var keys = Array.ConvertAll(sorted, l => checked((((((l.Row * columns) + l.Column) * nodes) + l.Node) * sheets) + l.Sheet));
        Array.Sort(keys, sorted);
        var count = 0;
        for (var k = 0; k < sorted.Length; k++)
        {
            if (k > 0 && keys[k] == keys[k - 1]) sorted[count - 1] = sorted[count - 1] with { Conductance = sorted[count - 1].Conductance + sorted[k].Conductance };
            else sorted[count++] = sorted[k];
        }

        return [.. sorted.Take(count).Where(l => l.Conductance > 0)];
    }
}
