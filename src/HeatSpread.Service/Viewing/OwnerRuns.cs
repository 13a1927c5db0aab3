using HeatSpread.Boards;
using HeatSpread.Thermal;

namespace HeatSpread.Service.Viewing;

/// <summary>Copper by its owner as runs of cells: a picture of a layer at a screen's resolution in a fraction of its cells.</summary>
internal static class OwnerRuns
{
    /// <summary>Numbers of a run: row, first column, column after the last, net.</summary>
    public const int Fields = 4;

    /// <returns>Run after run, rows from the lowest y up; the net is its index, or -1 for copper of no net.</returns>
    public static int[] Of(Board board, int layer, BoardGrid window, CancellationToken cancellationToken)
    {
        int[] owners = CopperOwners.At(board, layer, window, cancellationToken);
        var runs = new List<int>();
        for (int row = 0; row < window.Rows; row++)
        {
            var cells = owners.AsSpan(row * window.Columns, window.Columns);
            for (int first = 0, end; first < cells.Length; first = end)
            {
                end = first + 1;
                while (end < cells.Length && cells[end] == cells[first]) end++;
                if (cells[first] != CopperOwners.NoCopper) runs.AddRange([row, first, end, cells[first] == CopperOwners.NoNet ? -1 : cells[first]]);
            }
        }
        return [.. runs];
    }
}
