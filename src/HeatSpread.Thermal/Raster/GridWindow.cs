using HeatSpread.Boards;

namespace HeatSpread.Thermal.Raster;

/// <summary>A rectangle of a grid's cells, as a grid of its own.</summary>
internal sealed class GridWindow
{
    private readonly int _left, _lower;

    private GridWindow(BoardGrid grid, int left, int lower, int right, int upper)
    {
        (Grid, _left, _lower) = (grid, left, lower);
        Cells = new BoardGrid
        {
            Columns = right - left + 1,
            Rows = upper - lower + 1,
            Origin = new Point(grid.Origin.X + left * grid.PitchX, grid.Origin.Y + lower * grid.PitchY),
            PitchX = grid.PitchX,
            PitchY = grid.PitchY,
        };
    }

    /// <summary>The whole.</summary>
    public BoardGrid Grid { get; }

    /// <summary>The window.</summary>
    public BoardGrid Cells { get; }

    /// <summary>The index in the grid of a cell of the window.</summary>
    public int InGrid(int cell) => (_lower + cell / Cells.Columns) * Grid.Columns + _left + cell % Cells.Columns;

    /// <summary>Row of the grid at which the window begins.</summary>
    public int FirstRow => _lower;

    /// <summary>Row of the grid at which it ends.</summary>
    public int LastRow => _lower + Cells.Rows - 1;

    /// <summary>Runs of cells one cell within the window, or up to the grid's edge: first index in the window, first index in the grid, cells.</summary>
    public IEnumerable<(int From, int To, int Count)> Inner
    {
        get
        {
            int first = _left == 0 ? 0 : 1, last = _left + Cells.Columns == Grid.Columns ? Cells.Columns - 1 : Cells.Columns - 2;
            int low = _lower == 0 ? 0 : 1, high = LastRow == Grid.Rows - 1 ? Cells.Rows - 1 : Cells.Rows - 2;
            for (int row = low; row <= high; row++) yield return (row * Cells.Columns + first, (_lower + row) * Grid.Columns + _left + first, last - first + 1);
        }
    }

    /// <summary>The cells that a change within the box can reach, with two more on each side: a change reaches the links of the cells beside its own.</summary>
    public static GridWindow About(BoardGrid grid, Box box)
    {
        var (left, lower) = grid.CellAt(new Point(box.MinX, box.MinY));
        var (right, upper) = grid.CellAt(new Point(box.MaxX, box.MaxY));
        return new(grid, Math.Max(0, left - 2), Math.Max(0, lower - 2), Math.Min(grid.Columns - 1, right + 2), Math.Min(grid.Rows - 1, upper + 2));
    }

    /// <summary>The window's part of an array of the grid.</summary>
    public T[] Cut<T>(T[] values)
    {
        var cut = new T[Cells.CellCount];
        for (int row = 0; row < Cells.Rows; row++) Array.Copy(values, (_lower + row) * Grid.Columns + _left, cut, row * Cells.Columns, Cells.Columns);
        return cut;
    }
}
