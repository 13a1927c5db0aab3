using HeatSpread.Boards;
using HeatSpread.Thermal;

namespace HeatSpread.Insight;

/// <summary>A place where copper stops and copper that could be the same net goes on beyond: two cells of one row or column, with a gap between their copper.</summary>
/// <param name="From">The cell with the lower index.</param>
/// <param name="To">The other one.</param>
/// <param name="AlongX">Whether the two lie in one row.</param>
/// <param name="JumpKelvin">Temperature of <paramref name="From"/> less that of <paramref name="To"/>.</param>
internal readonly record struct GapLink(int From, int To, bool AlongX, double JumpKelvin)
{
    /// <summary>The cells from the one to the other, both included.</summary>
    public IEnumerable<int> Cells(int columns)
    {
        int step = AlongX ? 1 : columns;
        for (int cell = From; cell <= To; cell += step) yield return cell;
    }

    /// <summary>Half way between the two cells' centres, m.</summary>
    public Point Middle(BoardGrid grid)
    {
        Point a = grid.Centre(From % grid.Columns, From / grid.Columns), b = grid.Centre(To % grid.Columns, To / grid.Columns);
        return new((a.X + b.X) / 2, (a.Y + b.Y) / 2);
    }
}

/// <summary>Looks along every row and column of a layer for gaps in copper with a jump of temperature.</summary>
internal static class GapScan
{
    /// <summary>Copper apart by more than this, m, along a row or column, is no longer one pour with a cut. A gap of 2 mm at 45° is 2.8 mm wide along them.</summary>
    public const double WidestGap = 3e-3;

    /// <summary>Pieces of copper smaller than this, m², are no pours: pads, and slivers between tracks. A gap is looked at across them.</summary>
    public const double SmallestPour = 4e-6;

    /// <summary>Copper of no net may be that of any other; from this size on, m², it counts as a pour that could be the same. So large are the pours, too, of which it is said that they must not be joined.</summary>
    public const double SmallestNameless = 20e-6;

    /// <param name="Links">By the pair of nets on their two sides; equal nets for a cut pour.</param>
    /// <param name="Pieces">The layer's copper.</param>
    internal sealed record Result(IReadOnlyDictionary<(int Net, int Other), List<GapLink>> Links, LayerPieces Pieces);

    /// <param name="board">The board.</param>
    /// <param name="layer">Index into the board's layers.</param>
    /// <param name="solution">Its copper and temperatures.</param>
    /// <param name="leastJump">K; gaps with a smaller jump are left out.</param>
    public static Result Find(Board board, int layer, GridSolution solution, double leastJump)
    {
        var (grid, raster) = (solution.Field.Grid, solution.Raster);
        var copper = raster.Layers[layer];
        var pieces = new LayerPieces(copper, grid);
        float[] celsius = solution.Field.RowCelsius[board.Layers[layer].Row];
        bool[] pads = PadCells(board, layer, grid);
        var links = new Dictionary<(int, int), List<GapLink>>();
        int reachX = Math.Max(1, (int)(WidestGap / grid.PitchX)), reachY = Math.Max(1, (int)(WidestGap / grid.PitchY));
        for (int cell = 0; cell < grid.CellCount; cell++)
        {
            if (!IsPour(pieces, cell)) continue;
            int column = cell % grid.Columns, row = cell / grid.Columns;
            if (column + 1 < grid.Columns && copper.CopperEast[cell] < LayerPieces.LeastLink) Look(cell, 1, Math.Min(reachX, grid.Columns - 1 - column), alongX: true);
            if (row + 1 < grid.Rows && copper.CopperNorth[cell] < LayerPieces.LeastLink) Look(cell, grid.Columns, Math.Min(reachY, grid.Rows - 1 - row), alongX: false);
        }
        return new(links, pieces);

        void Look(int from, int step, int reach, bool alongX)
        {
            for (int k = 1; k <= reach; k++)
            {
                int to = from + k * step;
                if (raster.BoardShare[to] <= 0) return; // a slot in the board is no cut in copper
                if (IsPour(pieces, to) && Pair(board, pieces, from, to) is { } pair)
                {
                    double jump = celsius[from] - celsius[to];
                    if (Math.Abs(jump) < leastJump) return;
                    if (!links.TryGetValue(pair, out var list)) links[pair] = list = [];
                    list.Add(new(from, to, alongX, jump));
                    return;
                }
                if (pads[to]) return; // the pads of a part need their place
            }
        }
    }

    private static bool IsPour(LayerPieces pieces, int cell)
    {
        int piece = pieces.Of(cell);
        return piece != LayerPieces.None && pieces.Area(piece) >= SmallestPour;
    }

    /// <summary>The nets on the two sides where they are one pour cut in two, or two nets that are to be kept apart; else null.</summary>
    private static (int Net, int Other)? Pair(Board board, LayerPieces pieces, int from, int to)
    {
        int a = pieces.Of(from), b = pieces.Of(to), net = pieces.Net(a), other = pieces.Net(b);
        if (net == other) return net >= 0 || (pieces.Area(a) >= SmallestNameless && pieces.Area(b) >= SmallestNameless) ? (net, net) : null;
        if (net < 0 || other < 0) return pieces.Area(a) >= SmallestNameless && pieces.Area(b) >= SmallestNameless ? (Math.Max(net, other), Math.Max(net, other)) : null;
        // a track of a net that is to be kept apart is what cuts, not what could be joined
        return AreKeptApart(board, net, other) && pieces.Area(a) >= SmallestNameless && pieces.Area(b) >= SmallestNameless ? (Math.Min(net, other), Math.Max(net, other)) : null;
    }

    /// <summary>Whether the layout says of one of two nets that it is to be kept apart from the other.</summary>
    public static bool AreKeptApart(Board board, int net, int other) => board.Nets[net].KeepApartFrom.Contains(other) || board.Nets[other].KeepApartFrom.Contains(net);

    /// <summary>Cells whose centre lies on a terminal's pad of the layer.</summary>
    private static bool[] PadCells(Board board, int layer, BoardGrid grid)
    {
        var cells = new bool[grid.CellCount];
        foreach (var part in board.Parts)
        {
            foreach (var terminal in part.Terminals.Where(terminal => part.SidesOf(terminal).Any(side => layer == (side == BoardSide.Top ? 0 : board.Layers.Count - 1))))
            {
                var box = terminal.Pad.Bounds;
                var (left, lower) = grid.CellAt(new(box.MinX, box.MinY));
                var (right, upper) = grid.CellAt(new(box.MaxX, box.MaxY));
                for (int row = lower; row <= upper; row++)
                {
                    for (int column = left; column <= right; column++)
                    {
                        if (PartAt.Contains(terminal.Pad, grid.Centre(column, row))) cells[row * grid.Columns + column] = true;
                    }
                }
            }
        }
        return cells;
    }
}
