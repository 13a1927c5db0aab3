namespace HeatSpread.Thermal.Raster;

/// <summary>
/// One layer at the fine scale: 8 × 8 points a cell, one 64-bit word a cell, bit 8 · row + column. Beside it what only sums tell: the
/// exact share of each cell, and its owner.
/// </summary>
internal sealed class FinePattern
{
    private FinePattern(int cells)
    {
        Copper = new ulong[cells];
        OpenEast = new ulong[cells];
        OpenNorth = new ulong[cells];
        Share = new float[cells];
        Owner = new int[cells];
        EastSide = new float[cells];
        NorthSide = new float[cells];
    }

    /// <summary>Fine points that are copper.</summary>
    public ulong[] Copper { get; }

    /// <summary>Fine points from which copper is unbroken to the next one to the right (of the next cell, from the last column).</summary>
    public ulong[] OpenEast { get; }

    /// <summary>Fine points from which copper is unbroken to the next one upward.</summary>
    public ulong[] OpenNorth { get; }

    public float[] Share { get; }

    public int[] Owner { get; }

    /// <summary>Exact share of each cell's side to the next column that copper crosses.</summary>
    public float[] EastSide { get; }

    /// <summary>As <see cref="EastSide"/>, to the next row.</summary>
    public float[] NorthSide { get; }

    /// <param name="paint">What is painted.</param>
    /// <param name="outline">Only within this.</param>
    /// <param name="grid">Cells.</param>
    /// <param name="cancellationToken">Checked between rows of cells.</param>
    /// <param name="only">The copper of this owner alone; null: of all.</param>
    /// <param name="selection">What of it, against another drawing; null: all.</param>
    public static FinePattern Scan(RowIndex paint, RowIndex outline, BoardGrid grid, CancellationToken cancellationToken, int? only = null, PaintSelection? selection = null)
    {
        var pattern = new FinePattern(grid.CellCount);
        // Copper columns unbroken from the last fine row to the cell's upper side, and from the lower side to the first fine row.
        var head = new byte[grid.CellCount];
        var tail = new byte[grid.CellCount];
        var bottom = new float[grid.CellCount];
        var options = new ParallelOptions { CancellationToken = cancellationToken };
        Parallel.For(0, grid.Rows, options, () => new RowScanner(grid, only), (row, _, scanner) =>
        {
            int start = row * grid.Columns;
            scanner.Scan(paint, outline, row, pattern.Share.AsSpan(start, grid.Columns), selection);
            scanner.Owner.CopyTo(pattern.Owner, start);
            scanner.Between[0].CopyTo(head, start);
            scanner.Between[RowScanner.Fine].CopyTo(tail, start);
            pattern.Gather(scanner, start, grid.Columns);
            for (int column = 0; column < grid.Columns; column++)
            {
                pattern.EastSide[start + column] = (float)scanner.EastOpen[column];
                pattern.NorthSide[start + column] = (float)scanner.TopOpen[column];
                bottom[start + column] = (float)scanner.BottomOpen[column];
            }
            return scanner;
        }, _ => { });
        for (int cell = 0; cell + grid.Columns < grid.CellCount; cell++)
        {
            ulong upward = (ulong)(byte)(tail[cell] & head[cell + grid.Columns]) << 56;
            pattern.OpenNorth[cell] |= upward & pattern.Copper[cell] & (pattern.Copper[cell + grid.Columns] << 56);
            pattern.NorthSide[cell] = Math.Min(pattern.NorthSide[cell], bottom[cell + grid.Columns]);
        }
        return pattern;
    }

    private void Gather(RowScanner scanner, int start, int columns)
    {
        for (int column = 0; column < columns; column++)
        {
            ulong copper = 0, east = 0, north = 0;
            for (int fine = RowScanner.Fine - 1; fine >= 0; fine--)
            {
                copper = (copper << 8) | scanner.Copper[fine][column];
                east = (east << 8) | scanner.Open[fine][column];
                north = (north << 8) | (fine + 1 < RowScanner.Fine ? scanner.Between[fine + 1][column] : (byte)0);
            }
            Copper[start + column] = copper;
            OpenEast[start + column] = east;
            OpenNorth[start + column] = north & copper & (copper >> 8);
        }
    }
}
