namespace HeatSpread.Solver.Multigrid;

/// <summary>
/// Where the cells of a level lie in memory. A column is all sheets over one place of the plan; columns are coloured like a chessboard, red where
/// x + y is even. Each colour has its own array, ordered row, sheet, half-index <c>x / 2</c>, with an empty row before and after and at least one
/// empty place behind each run: neighbours are read without a test, and every loop along a row is a plain vector loop.
/// </summary>
internal readonly record struct Shape(int Columns, int Rows, int Sheets)
{
    public const int Lanes = 16;

    /// <summary>Places along a row of one colour and sheet: a multiple of <see cref="Lanes"/>.</summary>
    public int Half { get; } = (((Columns + 1) / 2) + Lanes) / Lanes * Lanes;

    /// <summary>With empty places at the end: the next row starts with the other parity, so its first cell is no neighbour of this row's last place.</summary>
    public int RowStride => (Half * Sheets) + Lanes;

    /// <summary>Floats that one colour takes.</summary>
    public int Length => checked(((Rows + 2) * RowStride) + (2 * Lanes));

    public int CoarseColumns => (Columns + 1) / 2;

    public int CoarseRows => (Rows + 1) / 2;

    public long Unknowns => (long)Columns * Rows * Sheets;

    /// <summary>Index of sheet 0, half-index 0 of a row.</summary>
    public int RowStart(int row) => Lanes + ((row + 1) * RowStride);

    /// <summary>The empty places at the end of a row.</summary>
    public Span<float> RowEnd(AlignedFloats floats, int row) => floats.Span.Slice(RowStart(row) + (Half * Sheets), Lanes);

    /// <summary>Zeros the places of a row that no cell of the colour has.</summary>
    public void ClearEmpty(AlignedFloats floats, int color, int row)
    {
        var cells = (Columns + 1 - Parity(color, row)) / 2;
        for (var s = 0; s < Sheets; s++) floats.Span.Slice(RowStart(row) + (s * Half) + cells, Half - cells).Clear();
        RowEnd(floats, row).Clear();
    }

    /// <summary>0 where the row's first cell of the colour is at x = 0, 1 where it is at x = 1.</summary>
    public static int Parity(int color, int row) => (row + color) & 1;

    public static int ColorOf(int column, int row) => (column + row) & 1;

    /// <summary>Index of sheet 0 of a column within the array of its colour.</summary>
    public int ColumnStart(int column, int row) => RowStart(row) + (column >> 1);
}
