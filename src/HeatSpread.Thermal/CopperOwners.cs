using HeatSpread.Boards;
using HeatSpread.Thermal.Raster;

namespace HeatSpread.Thermal;

/// <summary>Whose copper lies at each point of a window of one layer, by the order of painting. A grid much finer than the solver's shows what lies inside a gap.</summary>
public static class CopperOwners
{
    /// <summary>No copper there, or no board.</summary>
    public const int NoCopper = -2;

    /// <summary>Copper of no net.</summary>
    public const int NoNet = PaintProgram.NoNet;

    /// <param name="board">What is drawn.</param>
    /// <param name="layer">Index into the board's layers.</param>
    /// <param name="window">The points are the centres of its cells.</param>
    /// <param name="cancellationToken">Checked between rows.</param>
    /// <returns><c>[row * Columns + column]</c>: index into the board's nets, <see cref="NoNet"/> or <see cref="NoCopper"/>.</returns>
    /// <exception cref="OperationCanceledException">As the token asks.</exception>
    public static int[] At(Board board, int layer, BoardGrid window, CancellationToken cancellationToken)
    {
        ArgumentNullException.ThrowIfNull(board);
        ArgumentNullException.ThrowIfNull(window);
        var paint = new RowIndex(PaintProgram.ForLayer(board, layer), window);
        var outline = new RowIndex(PaintProgram.ForRegion(board.Outline), window);
        var owners = new int[window.CellCount];
        Array.Fill(owners, NoCopper);
        var painter = new LinePainter(only: null);
        for (int row = 0; row < window.Rows; row++)
        {
            cancellationToken.ThrowIfCancellationRequested();
            double low = window.Origin.Y + row * window.PitchY;
            foreach (ref readonly var run in painter.RunsIn(paint, outline, row, low, low + window.PitchY).Runs)
            {
                int first = Math.Max(0, (int)Math.Ceiling((run.Left.Middle - window.Origin.X) / window.PitchX - 0.5));
                int end = Math.Min(window.Columns, (int)Math.Ceiling((run.Right.Middle - window.Origin.X) / window.PitchX - 0.5));
                if (end > first) owners.AsSpan(row * window.Columns + first, end - first).Fill(run.Owner);
            }
        }
        return owners;
    }
}
