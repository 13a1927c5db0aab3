using HeatSpread.Boards;
using HeatSpread.Thermal;

namespace HeatSpread.Insight;

/// <summary>Which pitches a board is solved at. All in metres.</summary>
internal static class GridPitch
{
    private const double CellsAlongLongSide = 200;
    private const double CoarsestStart = 1e-3;
    private const int FewestCells = 12;

    /// <summary>The first pitch where none was asked for.</summary>
    public static double ToStartWith(Board board, int maximumCells)
    {
        var box = board.Outline.Bounds;
        double pitch = Math.Min(CoarsestStart, Math.Max(box.Width, box.Height) / CellsAlongLongSide);
        while (Cells(board, pitch) > maximumCells) pitch *= 2;
        return pitch;
    }

    /// <summary>Cells of all sheets of the stack together, about.</summary>
    public static double Cells(Board board, double pitch)
    {
        var box = board.Outline.Bounds;
        return box.Width / pitch * (box.Height / pitch) * ThermalSolve.SheetCount(board);
    }

    /// <summary>Edits are tried by the dozen: on the finest grid of a series, not finer than the answer's, that has at most this many cells.</summary>
    private const double MostTrialCells = 60_000;

    /// <summary>The pitch on which edits are tried.</summary>
    /// <param name="board">The board.</param>
    /// <param name="series">In any order.</param>
    /// <param name="answer">Of the series.</param>
    public static double ForTrials(Board board, IReadOnlyList<double> series, double answer) =>
        series.Where(pitch => pitch >= answer && Cells(board, pitch) <= MostTrialCells).DefaultIfEmpty(series.Max()).Min();

    /// <summary>
    /// The asked pitch and four coarser ones that tell its error, finest first; they cost under half of it. On a grid of so few cells that its quintuple would hardly be a grid
    /// two finer ones stand before the asked one in place of the coarser ones.
    /// </summary>
    public static IReadOnlyList<double> Series(Board board, double pitch)
    {
        var box = board.Outline.Bounds;
        var grid = BoardGrid.Over(box, pitch);
        if (Math.Min(grid.Columns, grid.Rows) >= FewestCells) return [pitch, pitch * 2, pitch * 3, pitch * 3.5, pitch * 5];
        double real = Math.Min(pitch, Math.Max(box.Width, box.Height)); // one cell stays one cell however large it was asked for
        return [real / 4, real / 2, pitch];
    }
}
