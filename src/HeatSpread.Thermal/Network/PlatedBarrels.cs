using HeatSpread.Boards;

namespace HeatSpread.Thermal.Network;

/// <summary>Conductances of plated holes through the sheets.</summary>
internal static class PlatedBarrels
{
    /// <summary>
    /// For each group and cell: conductivity times cross-section of the barrels there, W·m/K. Divided by the distance between two sheets' centres
    /// it is the conductance that the barrels add between them: L/(kA) for the whole barrel.
    /// </summary>
    /// <param name="group">The vias.</param>
    /// <param name="grid">Cells.</param>
    /// <param name="boardShare">Cells without board get nothing; their part goes to the others.</param>
    public static Dictionary<int, double> ConductanceLengths(ViaGroup group, BoardGrid grid, float[] boardShare)
    {
        var byCell = new Dictionary<int, double>();
        double each = group.PlatingConductivity * group.PlatingArea + group.FillConductivity * group.FillArea;
        if (each <= 0) return byCell;
        double radius = group.Drill / 2;
        foreach (var at in group.At)
        {
            var (firstColumn, firstRow) = grid.CellAt(new Point(at.X - radius, at.Y - radius));
            var (lastColumn, lastRow) = grid.CellAt(new Point(at.X + radius, at.Y + radius));
            double covered = 0;
            for (int row = firstRow; row <= lastRow; row++)
            {
                for (int column = firstColumn; column <= lastColumn; column++)
                {
                    if (boardShare[row * grid.Columns + column] > 0) covered += Overlap(grid, column, row, at, radius);
                }
            }
            if (covered <= 0) continue;
            for (int row = firstRow; row <= lastRow; row++)
            {
                for (int column = firstColumn; column <= lastColumn; column++)
                {
                    int cell = row * grid.Columns + column;
                    double share = boardShare[cell] > 0 ? Overlap(grid, column, row, at, radius) / covered : 0;
                    if (share > 0) byCell[cell] = byCell.GetValueOrDefault(cell) + each * share;
                }
            }
        }
        return byCell;
    }

    private static double Overlap(BoardGrid grid, int column, int row, Point centre, double radius)
    {
        double left = grid.Origin.X + column * grid.PitchX - centre.X, bottom = grid.Origin.Y + row * grid.PitchY - centre.Y;
        return DiscBoxArea(left, left + grid.PitchX, bottom, bottom + grid.PitchY, radius);
    }

    /// <summary>Area that a disc about the origin shares with a box: the integral over x of the overlap in y, piece by piece in closed form.</summary>
    internal static double DiscBoxArea(double x0, double x1, double y0, double y1, double radius)
    {
        x0 = Math.Max(x0, -radius);
        x1 = Math.Min(x1, radius);
        if (x0 >= x1) return 0;
        Span<double> breaks = stackalloc double[6];
        int count = 0;
        breaks[count++] = x0;
        breaks[count++] = x1;
        foreach (double y in (ReadOnlySpan<double>)[y0, y1])
        {
            if (Math.Abs(y) >= radius) continue;
            double x = Math.Sqrt(radius * radius - y * y);
            if (-x > x0 && -x < x1) breaks[count++] = -x;
            if (x > x0 && x < x1) breaks[count++] = x;
        }
        breaks[..count].Sort();
        double area = 0;
        for (int i = 1; i < count; i++)
        {
            double from = breaks[i - 1], to = breaks[i], half = Height((from + to) / 2, radius);
            // Between breaks each bound of the overlap is either the circle or the box all the way.
            double top = half < y1 ? Under(from, to, radius) : y1 * (to - from);
            double bottom = -half > y0 ? -Under(from, to, radius) : y0 * (to - from);
            area += Math.Max(0, top - bottom);
        }
        return area;
    }

    private static double Height(double x, double radius) => Math.Sqrt(Math.Max(0, radius * radius - x * x));

    private static double Under(double from, double to, double radius)
    {
        double Primitive(double x) => (x * Height(x, radius) + radius * radius * Math.Asin(Math.Clamp(x / radius, -1, 1))) / 2;
        return Primitive(to) - Primitive(from);
    }
}
