using HeatSpread.Boards;

namespace HeatSpread.Thermal.Raster;

/// <summary>Length of the outline's and its openings' edges in each cell.</summary>
internal static class RimLength
{
    /// <param name="outline">The board.</param>
    /// <param name="grid">Cells.</param>
    /// <param name="boardShare">A piece of rim goes to its cell, or to the nearest one that holds board.</param>
    /// <returns>For each cell with rim: metres, and the distance from the cell's centre to a rim that lies on the cell's side, m.</returns>
    public static Dictionary<int, (double Length, double Distance)> Of(Region outline, BoardGrid grid, float[] boardShare)
    {
        var rim = new Dictionary<int, (double Length, double Distance)>();
        foreach (var ring in outline.Polygons.SelectMany(polygon => polygon.Rings))
        {
            for (int i = 0; i < ring.Count; i++) AddEdge(ring[i], ring[(i + 1) % ring.Count], grid, boardShare, rim);
        }
        return rim;
    }

    private static void AddEdge(Point a, Point b, BoardGrid grid, float[] boardShare, Dictionary<int, (double Length, double Distance)> rim)
    {
        double dx = b.X - a.X, dy = b.Y - a.Y, length = Math.Sqrt(dx * dx + dy * dy);
        if (length == 0) return;
        // Half a cell, measured along the edge's normal.
        double distance = (Math.Abs(dy) * grid.PitchX + Math.Abs(dx) * grid.PitchY) / (2 * length);
        var cuts = new List<double> { 0, 1 };
        AddCuts(cuts, a.X, dx, grid.Origin.X, grid.PitchX);
        AddCuts(cuts, a.Y, dy, grid.Origin.Y, grid.PitchY);
        cuts.Sort();
        for (int i = 1; i < cuts.Count; i++)
        {
            double part = (cuts[i] - cuts[i - 1]) * length, middle = (cuts[i] + cuts[i - 1]) / 2;
            if (part <= 0) continue;
            int cell = CellOf(new Point(a.X + middle * dx, a.Y + middle * dy), -dy / length, dx / length, grid, boardShare);
            if (cell < 0) continue;
            rim.TryGetValue(cell, out var known);
            rim[cell] = (known.Length + part, distance);
        }
    }

    private static void AddCuts(List<double> cuts, double start, double extent, double origin, double pitch)
    {
        if (extent == 0) return;
        double first = (start - origin) / pitch, last = (start + extent - origin) / pitch;
        for (double line = Math.Ceiling(Math.Min(first, last)); line < Math.Max(first, last); line++)
        {
            double at = (line - first) / (last - first);
            if (at is > 0 and < 1) cuts.Add(at);
        }
    }

    private static int CellOf(Point at, double normalX, double normalY, BoardGrid grid, float[] boardShare)
    {
        // An edge on the line between two cells belongs to the one that holds board: look a little to both sides.
        int best = -1;
        foreach (double side in (ReadOnlySpan<double>)[1e-3, -1e-3, 0.6, -0.6])
        {
            var p = new Point(at.X + side * normalX * grid.PitchX, at.Y + side * normalY * grid.PitchY);
            var (column, row) = grid.CellAt(p);
            int cell = row * grid.Columns + column;
            if (boardShare[cell] > 0 && (best < 0 || boardShare[cell] > boardShare[best])) best = cell;
            if (best >= 0 && side == -1e-3) return best;
        }
        return best;
    }
}
