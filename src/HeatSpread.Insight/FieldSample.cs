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
        var (left, right, x) = Between((at.X - grid.Origin.X) / grid.PitchX - 0.5, grid.Columns);
        var (lower, upper, y) = Between((at.Y - grid.Origin.Y) / grid.PitchY - 0.5, grid.Rows);
        double sum = 0, weight = 0;
        void Add(int column, int row, double w)
        {
            float value = celsius[row * grid.Columns + column];
            if (float.IsNaN(value)) return;
            sum += w * value;
            weight += w;
        }
        Add(left, lower, (1 - x) * (1 - y));
        Add(right, lower, x * (1 - y));
        Add(left, upper, (1 - x) * y);
        Add(right, upper, x * y);
        return weight > 1e-9 ? sum / weight : Nearest(grid, celsius, at);
    }

    /// <summary>The two cells about a place measured in cells from the first centre, and the share of the second; the first or last cell alone beyond the ends.</summary>
    private static (int First, int Second, double Share) Between(double place, int count)
    {
        double clamped = Math.Clamp(place, 0, count - 1);
        int first = Math.Min((int)clamped, count - 1), second = Math.Min(first + 1, count - 1);
        return (first, second, clamped - first);
    }

    private static double Nearest(BoardGrid grid, float[] celsius, Point at)
    {
        double nearest = double.PositiveInfinity, value = double.NaN;
        for (int cell = 0; cell < celsius.Length; cell++)
        {
            if (float.IsNaN(celsius[cell])) continue;
            var centre = grid.Centre(cell % grid.Columns, cell / grid.Columns);
            double distance = double.Hypot(centre.X - at.X, centre.Y - at.Y);
            if (distance < nearest) (nearest, value) = (distance, celsius[cell]);
        }
        return value;
    }
}
