using HeatSpread.Boards;
using HeatSpread.Thermal;

namespace HeatSpread.Insight;

/// <summary>Reads a row of cells at any point.</summary>
internal static class FieldSample
{
    /// <summary>Of the cells on the board, all four together: below it the nearest cell is read.</summary>
    private const double LeastWeight = 1e-9;

    /// <summary>
    /// Bilinear between the four nearest cell centres. Cells outside the board are left out and the others' weights made to add up to one;
    /// where all four are outside, the nearest cell of the board is read.
    /// </summary>
    /// <param name="grid">The cells.</param>
    /// <param name="celsius">One value a cell, NaN outside the board.</param>
    /// <param name="at">Metres.</param>
    public static double At(BoardGrid grid, float[] celsius, Point at)
    {
        Span<int> cells = stackalloc int[4];
        Span<double> weights = stackalloc double[4];
        Corners(grid, at, cells, weights);
        var (sum, weight) = (0.0, 0.0);
        for (int i = 0; i < cells.Length; i++)
        {
            if (weights[i] <= 0 || float.IsNaN(celsius[cells[i]])) continue;
            sum += weights[i] * celsius[cells[i]];
            weight += weights[i];
        }
        return weight > LeastWeight ? sum / weight : OfNearest(grid, celsius, at);
    }

    /// <summary>Apart from <see cref="At"/>, which is called often and would make a closure each time.</summary>
    private static double OfNearest(BoardGrid grid, float[] celsius, Point at)
    {
        int nearest = Nearest(grid, cell => !float.IsNaN(celsius[cell]), at);
        return nearest < 0 ? double.NaN : celsius[nearest];
    }

    /// <summary>The same as a reading of a solved board, at the centre of a stack row.</summary>
    public static LinearReading ReadingAt(SolvedNetwork solved, int row, Point at)
    {
        var (grid, share) = (solved.Raster.Grid, solved.Raster.BoardShare);
        Span<int> corners = stackalloc int[4];
        Span<double> weights = stackalloc double[4];
        Corners(grid, at, corners, weights);
        var (cells, kept) = (new List<int>(4), new List<double>(4));
        for (int i = 0; i < corners.Length; i++)
        {
            if (weights[i] <= 0 || share[corners[i]] <= 0) continue;
            cells.Add(corners[i]);
            kept.Add(weights[i]);
        }
        double sum = kept.Sum();
        if (sum > LeastWeight) return new([.. cells.Select(cell => solved.UnknownOf(row, cell))], [.. kept.Select(weight => weight / sum)]);
        int nearest = Nearest(grid, cell => share[cell] > 0, at);
        return nearest < 0 ? new([], []) : new([solved.UnknownOf(row, nearest)], [1]);
    }

    /// <summary>The four nearest cells and their bilinear weights, which add up to one.</summary>
    private static void Corners(BoardGrid grid, Point at, Span<int> cells, Span<double> weights)
    {
        var (left, right, x) = Between((at.X - grid.Origin.X) / grid.PitchX - 0.5, grid.Columns);
        var (lower, upper, y) = Between((at.Y - grid.Origin.Y) / grid.PitchY - 0.5, grid.Rows);
        int first = lower * grid.Columns, second = upper * grid.Columns;
        (cells[0], cells[1], cells[2], cells[3]) = (first + left, first + right, second + left, second + right);
        (weights[0], weights[1], weights[2], weights[3]) = ((1 - x) * (1 - y), x * (1 - y), (1 - x) * y, x * y);
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
