using HeatSpread.Boards;
using HeatSpread.Thermal;

namespace HeatSpread.Insight;

/// <summary>
/// Where copper may be added on a layer without breaking the rules of the nets: of some net whose area is not fixed, at no less than the larger of both nets' clearances from the
/// copper of every other. So nets that must be kept apart, and any two others, are never joined, and a switching node does not grow. Copper without a net is a net of its own, piece by piece.
/// </summary>
internal static class CopperRoom
{
    /// <summary>Clearance where the layout gives none, m: common practice for low voltages, no source.</summary>
    public const double UsualClearance = 0.2e-3;

    private const int Nobody = int.MinValue, Several = int.MinValue + 1;
    private const float LeastShare = 0.02f;

    /// <param name="board">The board.</param>
    /// <param name="raster">Its copper.</param>
    /// <param name="layer">Index into the board's layers.</param>
    /// <param name="cancellationToken">Ends it.</param>
    /// <returns>One a cell of the plan: whether copper may be added there. Cells that are copper already may have room beside it.</returns>
    public static bool[] On(Board board, CopperRaster raster, int layer, CancellationToken cancellationToken)
    {
        int[] owner = Owners(raster, layer);
        double[] clearance = Clearances(board, layer);
        var nearest = new Dictionary<double, int[]>();
        int[] Near(double least)
        {
            if (!nearest.TryGetValue(least, out int[]? near)) nearest[least] = near = NetsWithin(board, raster.Grid, layer, owner, clearance, least, cancellationToken);
            return near;
        }
        int[] by = Near(0);
        return [.. by.Select((net, cell) => raster.BoardShare[cell] > 0 && (net == Nobody || (net != Several && MayGrow(board, net) && Near(clearance[Net(net, board)])[cell] == net)))];
    }

    private static bool MayGrow(Board board, int net) => net < 0 || !board.Nets[net].FixedArea;

    /// <summary>For each cell the net whose clearance, or the least one, it lies within; or that it lies within that of several.</summary>
    private static int[] NetsWithin(Board board, BoardGrid grid, int layer, int[] owner, double[] clearance, double least, CancellationToken cancellationToken)
    {
        int[] near = [.. Enumerable.Repeat(Nobody, owner.Length)];
        for (int cell = 0; cell < owner.Length; cell++)
        {
            if (cell % grid.Columns == 0) cancellationToken.ThrowIfCancellationRequested();
            // a cell amid copper of its own net reaches no free place that the rim of the copper does not
            if (owner[cell] != Nobody && !IsAmidItsOwn(owner, cell, grid)) Reach(grid, cell, Math.Max(least, clearance[Net(owner[cell], board)]), owner[cell], near);
        }
        AddHoles(board, grid, layer, near);
        return near;
    }

    /// <summary>The last place is that of copper without a net.</summary>
    private static int Net(int owner, Board board) => owner >= 0 ? owner : board.Nets.Count;

    /// <summary>The largest clearance given to any copper of each net on the layer; the layer's least where a net has none.</summary>
    private static double[] Clearances(Board board, int layer)
    {
        var given = new double[board.Nets.Count + 1];
        foreach (var feature in board.Copper.Where(feature => feature.Layer == layer && !feature.IsClear))
        {
            int net = Net(feature.Net, board);
            given[net] = Math.Max(given[net], feature.Clearance);
        }
        double usual = given.Where(clearance => clearance > 0).DefaultIfEmpty(UsualClearance).Min();
        return [.. given.Select(clearance => clearance > 0 ? clearance : usual)];
    }

    /// <summary>Net of each cell's copper; pieces without a net have names of their own below -1.</summary>
    private static int[] Owners(CopperRaster raster, int layer)
    {
        var copper = raster.Layers[layer];
        int[] owner = [.. copper.CopperShare.Select((share, cell) => share > LeastShare ? copper.Net[cell] : Nobody)];
        var waiting = new Stack<int>();
        int piece = -1;
        for (int start = 0; start < owner.Length; start++)
        {
            if (owner[start] != -1) continue;
            piece--;
            owner[start] = piece;
            waiting.Push(start);
            while (waiting.TryPop(out int cell))
            {
                foreach (int neighbour in Around(raster.Grid, cell, 1, 1))
                {
                    if (owner[neighbour] != -1) continue;
                    owner[neighbour] = piece;
                    waiting.Push(neighbour);
                }
            }
        }
        return owner;
    }

    private static bool IsAmidItsOwn(int[] owner, int cell, BoardGrid grid) => Around(grid, cell, 1, 1).All(neighbour => owner[neighbour] == owner[cell]);

    private static void Reach(BoardGrid grid, int cell, double distance, int net, int[] near)
    {
        // from border to border: a cell's half on either side
        double reach = distance + Math.Max(grid.PitchX, grid.PitchY) / 2;
        foreach (int other in Around(grid, cell, (int)(reach / grid.PitchX), (int)(reach / grid.PitchY)))
        {
            double x = (other % grid.Columns - cell % grid.Columns) * grid.PitchX, y = (other / grid.Columns - cell / grid.Columns) * grid.PitchY;
            if (x * x + y * y <= reach * reach) Mark(near, other, net);
        }
    }

    private static void Mark(int[] near, int cell, int net) => near[cell] = near[cell] == Nobody || near[cell] == net ? net : Several;

    /// <summary>A hole keeps its clearance on every layer that it goes through, all of them: drills do not stop at a layer that is not joined.</summary>
    private static void AddHoles(Board board, BoardGrid grid, int layer, int[] near)
    {
        foreach (var group in board.Vias)
        {
            // Copper of its own net may lie on a joined layer; on others, and for a hole without a net, nothing may be put.
            bool joins = group.FromLayer <= layer && layer <= group.ToLayer && group.Net >= 0;
            double reach = group.Drill / 2 + (group.Clearance > 0 ? group.Clearance : UsualClearance);
            foreach (var at in group.At)
            {
                var (column, row) = grid.CellAt(at);
                foreach (int cell in Around(grid, row * grid.Columns + column, (int)(reach / grid.PitchX) + 1, (int)(reach / grid.PitchY) + 1))
                {
                    var centre = grid.Centre(cell % grid.Columns, cell / grid.Columns);
                    if (double.Hypot(centre.X - at.X, centre.Y - at.Y) <= reach) Mark(near, cell, joins ? group.Net : Several);
                }
            }
        }
    }

    /// <summary>The cells of a box about a cell, itself included.</summary>
    private static IEnumerable<int> Around(BoardGrid grid, int cell, int columns, int rows)
    {
        int column = cell % grid.Columns, row = cell / grid.Columns;
        for (int r = Math.Max(0, row - rows); r <= Math.Min(grid.Rows - 1, row + rows); r++)
        {
            for (int c = Math.Max(0, column - columns); c <= Math.Min(grid.Columns - 1, column + columns); c++) yield return r * grid.Columns + c;
        }
    }
}
