using HeatSpread.Boards;
using HeatSpread.Thermal;

namespace HeatSpread.Insight;

/// <summary>Which pitches a board is solved at. All in metres.</summary>
internal static class GridPitch
{
    /// <summary>Cells of all rows of the stack together, beyond which no pitch is halved on the service's own account.</summary>
    public const int MaximumCells = 2_500_000;

    private const double CellsAlongLongSide = 200;
    private const double CoarsestStart = 1e-3;
    private const int FewestCells = 12;

    /// <summary>The first pitch where none was asked for.</summary>
    public static double ToStartWith(Board board)
    {
        var box = board.Outline.Bounds;
        double pitch = Math.Min(CoarsestStart, Math.Max(box.Width, box.Height) / CellsAlongLongSide);
        while (Cells(board, pitch) > MaximumCells) pitch *= 2;
        return pitch;
    }

    /// <summary>Whether a grid of half the pitch stays within <see cref="MaximumCells"/>.</summary>
    public static bool MayHalve(Board board, double pitch) => Cells(board, pitch / 2) <= MaximumCells;

    /// <summary>
    /// Three pitches, coarse to fine, each half the one before, the asked one among them. It is the finest, so that its error costs a third more; on a grid of so few cells that its
    /// double would hardly be a grid it is the coarsest.
    /// </summary>
    public static IReadOnlyList<double> Series(Board board, double pitch)
    {
        var grid = BoardGrid.Over(board.Outline.Bounds, pitch);
        return Math.Min(grid.Columns, grid.Rows) < FewestCells ? [pitch, pitch / 2, pitch / 4] : [pitch * 4, pitch * 2, pitch];
    }

    private static double Cells(Board board, double pitch)
    {
        var box = board.Outline.Bounds;
        return box.Width / pitch * (box.Height / pitch) * board.Rows.Count;
    }
}
