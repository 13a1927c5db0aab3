using HeatSpread.Boards;
using HeatSpread.Thermal;

namespace HeatSpread.Insight;

/// <summary>Reads a row of cells at any point.</summary>
internal static class FieldSample
{
    /// <summary>
    /// Bilinear between the four nearest cell centres. Cells outside the board are left out and the others' weights made to add up to one;
    /// where all four are outside, the nearest cell of the board is read.
    /// </summary>
    /// <param name="grid">The cells.</param>
    /// <param name="celsius">One value a cell, NaN outside the board.</param>
    /// <param name="at">Metres.</param>
    public static double At(BoardGrid grid, float[] celsius, Point at)
    {
        var (cells, weights) = Weights(grid, cell => !float.IsNaN(celsius[cell]), at);
        double sum = 0;
        for (int i = 0; i < cells.Count; i++) sum += weights[i] * celsius[cells[i]];
        return cells.Count > 0 ? sum : double.NaN;
    }

    /// <summary>The same as a reading of a solved board, at the centre of a stack row.</summary>
    public static LinearReading ReadingAt(SolvedNetwork solved, int row, Point at)
    {
        var (cells, weights) = Weights(solved.Raster.Grid, cell => solved.Raster.BoardShare[cell] > 0, at);
        return new([.. cells.Select(cell => solved.UnknownOf(row, cell))], weights);
    }

    /// <summary>Cells and their weights, which add up to one; empty where no cell is of the board.</summary>
    private static (List<int> Cells, double[] Weights) Weights(BoardGrid grid, Func<int, bool> isBoard, Point at)
    {
        var (left, right, x) = Between((at.X - grid.Origin.X) / grid.PitchX - 0.5, grid.Columns);
        var (lower, upper, y) = Between((at.Y - grid.Origin.Y) / grid.PitchY - 0.5, grid.Rows);
        var (cells, weights) = (new List<int>(4), new List<double>(4));
        void Add(int column, int row, double weight)
        {
            int cell = row * grid.Columns + column;
            if (weight <= 0 || !isBoard(cell)) return;
            cells.Add(cell);
            weights.Add(weight);
        }
        Add(left, lower, (1 - x) * (1 - y));
        Add(right, lower, x * (1 - y));
        Add(left, upper, (1 - x) * y);
        Add(right, upper, x * y);
        double sum = weights.Sum();
        if (sum > 1e-9) return (cells, [.. weights.Select(weight => weight / sum)]);
        int nearest = Nearest(grid, isBoard, at);
        return nearest < 0 ? ([], []) : ([nearest], [1]);
    }

    /// <summary>The two cells about a place measured in cells from the first centre, and the share of the second; the first or last cell alone beyond the ends.</summary>
    private static (int First, int Second, double Share) Between(double place, int count)
    {
        double clamped = Math.Clamp(place, 0, count - 1);
        int first = Math.Min((int)clamped, count - 1), second = Math.Min(first + 1, count - 1);
        return (first, second, clamped - first);
    }

    private static int Nearest(BoardGrid grid, Func<int, bool> isBoard, Point at)
    {
        double least = double.PositiveInfinity;
        int nearest = -1;
        for (int cell = 0; cell < grid.CellCount; cell++)
        {
            if (!isBoard(cell)) continue;
            var centre = grid.Centre(cell % grid.Columns, cell / grid.Columns);
            double distance = double.Hypot(centre.X - at.X, centre.Y - at.Y);
            if (distance < least) (least, nearest) = (distance, cell);
        }
        return nearest;
    }
}
