using HeatSpread.Boards;
using HeatSpread.Thermal;

namespace HeatSpread.Insight;

/// <summary>
/// Where copper may be added on a layer without breaking the rules of the nets: of some net whose area is not fixed, at no less than the larger of both nets' clearances from the
/// copper of every other. So nets that must be kept apart, and any two others, are never joined, and a switching node does not grow. Copper without a net is a net of its own, piece by piece.
/// Cells of the grid and the finer points of edits are judged alike.
/// </summary>
internal static class CopperRoom
{
    /// <summary>Clearance where the layout gives none, m: common practice for low voltages, no source.</summary>
    public const double UsualClearance = 0.2e-3;

    /// <summary>From added copper to the board's rim, m: common practice, no source.</summary>
    public const double RimClearance = 0.5e-3;

    private const int Nobody = int.MinValue, Several = int.MinValue + 1;
    private const float LeastShare = 0.02f;

    /// <param name="board">The board.</param>
    /// <param name="raster">Its copper.</param>
    /// <param name="layer">Index into the board's layers.</param>
    /// <param name="cancellationToken">Ends it.</param>
    /// <returns>One a cell of the plan: whether copper may be added there. Cells that are copper already may have room beside it.</returns>
    public static bool[] On(Board board, CopperRaster raster, int layer, CancellationToken cancellationToken)
    {
        var grid = raster.Grid;
        var copper = raster.Layers[layer];
        int[] owner = [.. copper.CopperShare.Select((share, cell) => share > LeastShare ? copper.Net[cell] : Nobody)];
        double[] clearance = Clearances(board, layer);
        double slack = Math.Max(grid.PitchX, grid.PitchY) / 2; // from border to border: a cell's half on either side
        NamePieces(owner, grid);
        var nearest = new Dictionary<double, int[]>();
        int[] Near(double least)
        {
            if (!nearest.TryGetValue(least, out int[]? near)) nearest[least] = near = NetsWithin(board, grid, layer, owner, clearance, least, slack, cancellationToken);
            return near;
        }
        int[] by = Near(0);
        bool[] inside = AwayFromRim(board, grid);
        return [.. by.Select((net, cell) => inside[cell] && (net == Nobody || (net != Several && MayGrow(board, net) && Near(clearance[Net(net, board)])[cell] == net)))];
    }

    /// <summary>Where copper of one net may be, whether or not its area is fixed.</summary>
    /// <param name="board">The board.</param>
    /// <param name="layer">Index into its layers.</param>
    /// <param name="net">Index into its nets; <see cref="CopperOwners.NoNet"/> for copper without one.</param>
    /// <param name="owners">Whose copper lies at each point, as <see cref="CopperOwners"/> tells it; what is to give way, or may be joined, is <see cref="CopperOwners.NoCopper"/>.</param>
    /// <param name="points">The points.</param>
    /// <param name="rerouted">A net whose tracks are taken off: what stays of it keeps the least clearance that its copper has; -1 for none.</param>
    /// <param name="cancellationToken">Ends it.</param>
    /// <returns>One a point; the net's own copper has room, as far as others leave it.</returns>
    public static bool[] For(Board board, int layer, int net, int[] owners, BoardGrid points, int rerouted, CancellationToken cancellationToken)
    {
        int[] owner = [.. owners.Select(of => of == CopperOwners.NoCopper ? Nobody : of)];
        double[] clearance = Clearances(board, layer);
        if (rerouted >= 0) clearance[rerouted] = board.Copper.Where(feature => feature.Net == rerouted && feature.Clearance > 0).Select(feature => feature.Clearance).Append(clearance[rerouted]).Min();
        double slack = 1.5 * Math.Max(points.PitchX, points.PitchY); // an outline may leave the points by nearly one of them
        NamePieces(owner, points);
        int[] near = NetsWithin(board, points, layer, owner, clearance, clearance[Net(net, board)], slack, cancellationToken);
        bool[] inside = AwayFromRim(board, points);
        for (int i = 0; i < inside.Length; i++) inside[i] &= near[i] == Nobody || near[i] == net;
        return inside;
    }

    /// <summary>The clearance that a net's copper has on a layer, m.</summary>
    public static double ClearanceOf(Board board, int layer, int net) => Clearances(board, layer)[Net(net, board)];

    /// <summary>The largest that copper has on a layer, m.</summary>
    public static double MostClearance(Board board, int layer) => Clearances(board, layer).Max();

    /// <summary>Points of the board at least a clearance from its rim and its openings.</summary>
    private static bool[] AwayFromRim(Board board, BoardGrid points)
    {
        var away = new bool[points.CellCount];
        var window = new Box(points.Origin.X, points.Origin.Y, points.Origin.X + points.Columns * points.PitchX, points.Origin.Y + points.Rows * points.PitchY);
        if (!MeetsRim(board.Outline, window.Grow(RimClearance)))
        {
            // all of it is on one side
            if (PointArea.Inside(board.Outline, points with { Columns = 1, Rows = 1 })[0]) Array.Fill(away, true);
            return away;
        }
        var box = board.Outline.Bounds.Grow(-RimClearance);
        bool[] outside = PointArea.Inside(board.Outline, points);
        for (int i = 0; i < outside.Length; i++) outside[i] = !outside[i];
        away = PointArea.Grown(outside, points, RimClearance);
        for (int i = 0; i < away.Length; i++)
        {
            var at = points.Centre(i % points.Columns, i / points.Columns);
            away[i] = !away[i] && box.Holds(at);
        }
        return away;
    }

    /// <summary>Whether an edge of a region may lie in a box, by the edge's own box.</summary>
    private static bool MeetsRim(Region outline, Box box)
    {
        foreach (var ring in outline.Polygons.SelectMany(polygon => polygon.Rings))
        {
            var a = ring[^1];
            foreach (var b in ring)
            {
                if (Math.Min(a.X, b.X) <= box.MaxX && Math.Max(a.X, b.X) >= box.MinX && Math.Min(a.Y, b.Y) <= box.MaxY && Math.Max(a.Y, b.Y) >= box.MinY) return true;
                a = b;
            }
        }
        return false;
    }

    private static bool MayGrow(Board board, int net) => net < 0 || !board.Nets[net].FixedArea;

    /// <summary>For each cell the net whose clearance, or the least one, it lies within; or that it lies within that of several.</summary>
    private static int[] NetsWithin(Board board, BoardGrid grid, int layer, int[] owner, double[] clearance, double least, double slack, CancellationToken cancellationToken)
    {
        var near = new int[owner.Length];
        Array.Fill(near, Nobody);
        for (int row = 0; row < grid.Rows; row++)
        {
            cancellationToken.ThrowIfCancellationRequested();
            for (int column = 0; column < grid.Columns; column++)
            {
                int net = owner[row * grid.Columns + column];
                if (net == Nobody) continue;
                // a cell amid copper of its own net reaches no free place that the rim of the copper does not
                if (IsAmidItsOwn(owner, grid, column, row)) Mark(near, row * grid.Columns + column, net);
                else Reach(grid, column, row, Math.Max(least, clearance[Net(net, board)]) + slack, net, near);
            }
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

    /// <summary>Gives pieces without a net names of their own, below that of copper without a net.</summary>
    private static void NamePieces(int[] owner, BoardGrid grid)
    {
        var waiting = new Stack<int>();
        int piece = CopperOwners.NoNet;
        for (int start = 0; start < owner.Length; start++)
        {
            if (owner[start] != CopperOwners.NoNet) continue;
            owner[start] = --piece;
            waiting.Push(start);
            while (waiting.TryPop(out int cell))
            {
                foreach (int neighbour in Around(grid, cell, 1, 1))
                {
                    if (owner[neighbour] != CopperOwners.NoNet) continue;
                    owner[neighbour] = piece;
                    waiting.Push(neighbour);
                }
            }
        }
    }

    private static bool IsAmidItsOwn(int[] owner, BoardGrid grid, int column, int row)
    {
        int at = row * grid.Columns + column, net = owner[at];
        bool Same(int x, int y) => x < 0 || y < 0 || x >= grid.Columns || y >= grid.Rows || owner[y * grid.Columns + x] == net;
        return Same(column - 1, row) && Same(column + 1, row) && Same(column, row - 1) && Same(column, row + 1)
            && Same(column - 1, row - 1) && Same(column + 1, row - 1) && Same(column - 1, row + 1) && Same(column + 1, row + 1);
    }

    private static void Reach(BoardGrid grid, int column, int row, double reach, int net, int[] near)
    {
        int rows = (int)(reach / grid.PitchY);
        for (int r = Math.Max(0, row - rows); r <= Math.Min(grid.Rows - 1, row + rows); r++)
        {
            double y = (r - row) * grid.PitchY;
            int half = (int)(Math.Sqrt(Math.Max(0, reach * reach - y * y)) / grid.PitchX);
            for (int c = Math.Max(0, column - half); c <= Math.Min(grid.Columns - 1, column + half); c++) Mark(near, r * grid.Columns + c, net);
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
