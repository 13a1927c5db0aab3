using HeatSpread.Boards;

namespace HeatSpread.Thermal;

/// <summary>
/// The cells of a board's plan: the outline's bounding box cut into the whole number of columns and rows nearest to the asked pitch.
/// Cell index: <c>row * Columns + column</c>, row 0 at the lowest y.
/// </summary>
public sealed record BoardGrid
{
    public required int Columns { get; init; }

    public required int Rows { get; init; }

    /// <summary>Lower left corner of the box, m.</summary>
    public required Point Origin { get; init; }

    /// <summary>Size of a cell along x, m.</summary>
    public required double PitchX { get; init; }

    /// <summary>Size of a cell along y, m.</summary>
    public required double PitchY { get; init; }

    public int CellCount => Columns * Rows;

    public double CellArea => PitchX * PitchY;

    /// <param name="box">Of the outline, m.</param>
    /// <param name="pitch">Asked for, m; positive.</param>
    public static BoardGrid Over(Box box, double pitch)
    {
        ArgumentOutOfRangeException.ThrowIfNegativeOrZero(pitch);
        int columns = Math.Max(1, (int)Math.Round(box.Width / pitch)), rows = Math.Max(1, (int)Math.Round(box.Height / pitch));
        return new BoardGrid { Columns = columns, Rows = rows, Origin = new(box.MinX, box.MinY), PitchX = box.Width / columns, PitchY = box.Height / rows };
    }

    /// <summary>Centre of a cell, m.</summary>
    public Point Centre(int column, int row) => new(Origin.X + (column + 0.5) * PitchX, Origin.Y + (row + 0.5) * PitchY);

    /// <summary>The cell that holds a point, the nearest one for a point outside the box.</summary>
    public (int Column, int Row) CellAt(Point p) => (
        Math.Clamp((int)Math.Floor((p.X - Origin.X) / PitchX), 0, Columns - 1),
        Math.Clamp((int)Math.Floor((p.Y - Origin.Y) / PitchY), 0, Rows - 1));
}
