using HeatSpread.Boards;

namespace HeatSpread.Thermal.Raster;

/// <param name="Cell">Cell index.</param>
/// <param name="Share">Covered share of the cell, above 0.</param>
/// <param name="Fine">The cell's fine points that are covered.</param>
internal readonly record struct CoveredCell(int Cell, double Share, ulong Fine);

/// <summary>How much of each cell a region covers.</summary>
internal static class RegionCover
{
    private const float LeastShare = 1e-6f;

    /// <summary>Over the whole grid; less than a millionth of a cell counts as nothing.</summary>
    public static float[] Of(RowIndex region, BoardGrid grid, CancellationToken cancellationToken)
    {
        var share = new float[grid.CellCount];
        var options = new ParallelOptions { CancellationToken = cancellationToken };
        Parallel.For(0, grid.Rows, options, () => new RowScanner(grid), (row, _, scanner) =>
        {
            var shares = share.AsSpan(row * grid.Columns, grid.Columns);
            scanner.Scan(region, null, row, shares);
            // sums that do not quite cancel beyond a slanted rim are no board
            foreach (ref float s in shares) s = s < LeastShare ? 0 : s;
            return scanner;
        }, _ => { });
        return share;
    }

    /// <summary>Only the cells that the region touches: for pads, bodies and contacts, which are small.</summary>
    public static List<CoveredCell> CellsOf(Region region, BoardGrid grid)
    {
        var covered = new List<CoveredCell>();
        var box = region.Bounds;
        var (firstColumn, firstRow) = grid.CellAt(new Point(box.MinX, box.MinY));
        var (lastColumn, lastRow) = grid.CellAt(new Point(box.MaxX, box.MaxY));
        var window = new BoardGrid
        {
            Columns = lastColumn - firstColumn + 1,
            Rows = lastRow - firstRow + 1,
            Origin = new Point(grid.Origin.X + firstColumn * grid.PitchX, grid.Origin.Y + firstRow * grid.PitchY),
            PitchX = grid.PitchX,
            PitchY = grid.PitchY,
        };
        var index = new RowIndex(PaintProgram.ForRegion(region), window);
        var scanner = new RowScanner(window);
        var share = new float[window.Columns];
        for (int row = 0; row < window.Rows; row++)
        {
            scanner.Scan(index, null, row, share);
            for (int column = 0; column < window.Columns; column++)
            {
                if (share[column] <= 1e-7f) continue;
                ulong fine = 0;
                for (int k = RowScanner.Fine - 1; k >= 0; k--) fine = (fine << 8) | scanner.Copper[k][column];
                covered.Add(new CoveredCell((firstRow + row) * grid.Columns + firstColumn + column, share[column], fine));
            }
        }
        return covered;
    }
}
