namespace HeatSpread.Thermal.Raster;

/// <summary>
/// Which shapes, and which edges of each polygon, touch each row of cells, so that a row is scanned without a look at the rest of the layer.
/// Within a row shapes stay in the order of painting.
/// </summary>
internal sealed class RowIndex
{
    private readonly int[] _firstEntry;
    private readonly Entry[] _entries;
    private readonly Edge[] _edges;

    public RowIndex(PaintProgram program, BoardGrid grid)
    {
        Program = program;
        _firstEntry = new int[grid.Rows + 1];
        var firstEdge = new int[grid.Rows + 1];
        foreach (ref readonly var shape in program.Shapes)
        {
            var (low, high) = RowsOf(shape.MinY, shape.MaxY, grid);
            for (int row = low; row <= high; row++) _firstEntry[row + 1]++;
        }
        foreach (ref readonly var edge in program.Edges)
        {
            var (low, high) = RowsOf(Math.Min(edge.A.Y, edge.B.Y), Math.Max(edge.A.Y, edge.B.Y), grid);
            for (int row = low; row <= high; row++) firstEdge[row + 1]++;
        }
        for (int row = 0; row < grid.Rows; row++)
        {
            _firstEntry[row + 1] += _firstEntry[row];
            firstEdge[row + 1] += firstEdge[row];
        }
        _entries = new Entry[_firstEntry[^1]];
        _edges = new Edge[firstEdge[^1]];
        Fill(program, grid, [.. _firstEntry], [.. firstEdge]);
    }

    public PaintProgram Program { get; }

    public ReadOnlySpan<Entry> Row(int row) => _entries.AsSpan(_firstEntry[row].._firstEntry[row + 1]);

    public ReadOnlySpan<Edge> EdgesOf(in Entry entry) => _edges.AsSpan(entry.FirstEdge, entry.EdgeCount);

    private void Fill(PaintProgram program, BoardGrid grid, int[] nextEntry, int[] nextEdge)
    {
        for (int s = 0; s < program.Shapes.Length; s++)
        {
            ref readonly var shape = ref program.Shapes[s];
            var (low, high) = RowsOf(shape.MinY, shape.MaxY, grid);
            for (int row = low; row <= high; row++) _entries[nextEntry[row]] = new Entry(s, nextEdge[row], 0, shape.MinY, shape.MaxY);
            for (int e = shape.FirstEdge; e < shape.FirstEdge + shape.EdgeCount; e++)
            {
                var edge = program.Edges[e];
                var (first, last) = RowsOf(Math.Min(edge.A.Y, edge.B.Y), Math.Max(edge.A.Y, edge.B.Y), grid);
                for (int row = first; row <= last; row++) _edges[nextEdge[row]++] = edge;
            }
            for (int row = low; row <= high; row++)
            {
                int entry = nextEntry[row]++;
                _entries[entry] = _entries[entry] with { EdgeCount = nextEdge[row] - _entries[entry].FirstEdge };
            }
        }
    }

    private static (int Low, int High) RowsOf(double minY, double maxY, BoardGrid grid)
    {
        double low = Math.Floor((minY - grid.Origin.Y) / grid.PitchY), high = Math.Floor((maxY - grid.Origin.Y) / grid.PitchY);
        return ((int)Math.Clamp(low, 0, grid.Rows), (int)Math.Clamp(high, -1, grid.Rows - 1));
    }

    /// <param name="Shape">Index into the program's shapes.</param>
    /// <param name="FirstEdge">Of the polygon's edges that touch the row.</param>
    /// <param name="EdgeCount">0 for a capsule.</param>
    /// <param name="MinY">The shape's own, kept here so that a band passes over a shape without a look at it; m.</param>
    /// <param name="MaxY">As <paramref name="MinY"/>.</param>
    internal readonly record struct Entry(int Shape, int FirstEdge, int EdgeCount, double MinY, double MaxY);
}
