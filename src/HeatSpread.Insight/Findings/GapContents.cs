using HeatSpread.Boards;
using HeatSpread.Thermal;

namespace HeatSpread.Insight;

/// <summary>What lies along a link across a gap.</summary>
/// <param name="CutBy">The foreign net with most copper on the way, or whose via has its clearance there; -1 where there is none.</param>
/// <param name="WidthMeters">From the copper on the one side to that on the other.</param>
/// <param name="ByHole">The clearance of a via of that net lies on the way.</param>
internal readonly record struct GapContent(int CutBy, double WidthMeters, bool ByHole);

/// <summary>Looks into gaps at a scale finer than the cells.</summary>
internal static class GapContents
{
    /// <param name="board">The board.</param>
    /// <param name="layer">Index into its layers.</param>
    /// <param name="net">On the one side of the gap.</param>
    /// <param name="other">On the other.</param>
    /// <param name="links">Across the gap.</param>
    /// <param name="grid">Of the links' cells.</param>
    /// <param name="fine">Points a cell along each side.</param>
    /// <param name="cancellationToken">Checked between rows.</param>
    /// <returns>One a link.</returns>
    public static IReadOnlyList<GapContent> Of(Board board, int layer, int net, int other, IReadOnlyList<GapLink> links, BoardGrid grid, int fine, CancellationToken cancellationToken)
    {
        var window = FineWindow.Over(links.SelectMany(link => (int[])[link.From, link.To]), grid, fine, margin: 1);
        int[] owners = CopperOwners.At(board, layer, window.Points, cancellationToken);
        // nets counted from 1, so that none is 0
        (Point At, double Reach, int Net)[] holes = [.. board.Vias.Where(via => via.Clearance > 0 && via.Net >= 0 && via.Net != net && via.Net != other && via.FromLayer <= layer && layer <= via.ToLayer)
            .SelectMany(via => via.At.Select(at => (at, via.Drill / 2 + via.Clearance, via.Net + 1)))];
        return [.. links.Select(link => Along(link))];

        GapContent Along(GapLink link)
        {
            Span<int> votes = stackalloc int[2]; // most votes so far, and whose
            votes[1] = -1;
            var count = new Dictionary<int, int>();
            int narrowest = int.MaxValue, widest = 0;
            for (int lane = 0; lane < fine; lane++)
            {
                int gap = 0, points = 0;
                foreach (int at in window.Lane(link, lane))
                {
                    points++;
                    int owner = owners[at];
                    if (owner == net || owner == other) continue;
                    gap++;
                    if (owner < 0) continue;
                    int had = count[owner] = count.GetValueOrDefault(owner) + 1;
                    if (had > votes[0]) (votes[0], votes[1]) = (had, owner);
                }
                if (gap > 0) narrowest = Math.Min(narrowest, gap);
                widest = Math.Max(widest, points);
            }
            double step = link.AlongX ? window.Points.PitchX : window.Points.PitchY;
            int hole = ClearedBy(link), cutBy = votes[1] >= 0 ? votes[1] : hole;
            return new(cutBy, (narrowest == int.MaxValue ? 0.5 : Math.Min(narrowest, widest)) * step, hole >= 0 && hole == cutBy);
        }

        int ClearedBy(GapLink link)
        {
            var middle = link.Middle(grid);
            double half = (link.AlongX ? (link.To - link.From) * grid.PitchX : (link.To - link.From) / grid.Columns * grid.PitchY) / 2;
            return holes.FirstOrDefault(hole => GapPath.Distance(hole.At, middle) <= hole.Reach + half).Net - 1;
        }
    }
}

/// <summary>A part of a grid at a finer scale.</summary>
/// <param name="Points">The fine cells.</param>
/// <param name="Fine">Along each side of a cell.</param>
/// <param name="FirstColumn">Of the window in the grid.</param>
/// <param name="FirstRow">As <paramref name="FirstColumn"/>.</param>
/// <param name="Grid">The grid.</param>
internal sealed record FineWindow(BoardGrid Points, int Fine, int FirstColumn, int FirstRow, BoardGrid Grid)
{
    /// <summary>The window that holds some cells.</summary>
    /// <param name="cells">At least one.</param>
    /// <param name="grid">Of the cells.</param>
    /// <param name="fine">Along each side of a cell.</param>
    /// <param name="margin">Cells about them.</param>
    public static FineWindow Over(IEnumerable<int> cells, BoardGrid grid, int fine, int margin)
    {
        int left = int.MaxValue, lower = int.MaxValue, right = 0, upper = 0;
        foreach (int cell in cells)
        {
            int column = cell % grid.Columns, row = cell / grid.Columns;
            (left, right) = (Math.Min(left, column), Math.Max(right, column));
            (lower, upper) = (Math.Min(lower, row), Math.Max(upper, row));
        }
        return Over(left - margin, lower - margin, right + margin, upper + margin, grid, fine);
    }

    /// <summary>The window from one column and row to another, both included, cut off at the grid's edge.</summary>
    public static FineWindow Over(int left, int lower, int right, int upper, BoardGrid grid, int fine)
    {
        (left, lower) = (Math.Max(0, left), Math.Max(0, lower));
        (right, upper) = (Math.Min(grid.Columns - 1, right), Math.Min(grid.Rows - 1, upper));
        var points = new BoardGrid
        {
            Columns = (right - left + 1) * fine,
            Rows = (upper - lower + 1) * fine,
            Origin = new(grid.Origin.X + left * grid.PitchX, grid.Origin.Y + lower * grid.PitchY),
            PitchX = grid.PitchX / fine,
            PitchY = grid.PitchY / fine,
        };
        return new(points, fine, left, lower, grid);
    }

    /// <summary>The fine points of a cell of the grid.</summary>
    public IEnumerable<int> Of(int cell)
    {
        int column = (cell % Grid.Columns - FirstColumn) * Fine, row = (cell / Grid.Columns - FirstRow) * Fine;
        for (int y = row; y < row + Fine; y++)
        {
            for (int x = column; x < column + Fine; x++) yield return y * Points.Columns + x;
        }
    }

    /// <summary>One of the lines of fine points along a link, from the far side of its first cell to that of its last.</summary>
    public IEnumerable<int> Lane(GapLink link, int lane)
    {
        int column = (link.From % Grid.Columns - FirstColumn) * Fine, row = (link.From / Grid.Columns - FirstRow) * Fine;
        int length = Fine * (1 + (link.To - link.From) / (link.AlongX ? 1 : Grid.Columns));
        for (int k = 0; k < length; k++) yield return link.AlongX ? (row + lane) * Points.Columns + column + k : (row + k) * Points.Columns + column + lane;
    }
}
