using HeatSpread.Boards;
using HeatSpread.Thermal;
using HeatSpread.Thermal.Revisions;

namespace HeatSpread.Insight.Comparison;

/// <summary>
/// Gathers differences to what a person would call one change: copper of one net taken away (or put there) in one place, on whichever layers; vias of one net close to each other, with
/// their pads and antipads; a part with its pads.
/// </summary>
internal static class ChangeGroups
{
    /// <summary>Pieces of copper nearer than this are one change, m; and vias nearer than three times it.</summary>
    private const double Near = 1e-3;

    /// <summary>Share of a piece's cells that lie on the lands of vias or of a part, above which it is theirs.</summary>
    private const double Absorbed = 0.9;

    /// <summary>Cells that a piece is grown by at most; on very fine grids pieces must lie nearer to be one.</summary>
    private const int MostGrown = 4;

    public static IReadOnlyList<ChangeGroup> Of(IReadOnlyList<RevisionChange> changes, Board baseline, Board candidate, BoardGrid grid)
    {
        var groups = new List<ChangeGroup>();
        groups.AddRange(Vias(changes, grid));
        groups.AddRange(changes.Where(change => change.Kind == ChangeKind.PartChanged).GroupBy(change => change.Name).Select(same => new ChangeGroup(grid, same)));
        int[] lands = Lands(groups, baseline, candidate, grid);
        var copper = new List<RevisionChange>();
        foreach (var piece in changes.Where(change => change.Cells.Count > 0))
        {
            var owner = piece.Cells.Where(cell => lands[cell.Cell] >= 0).GroupBy(cell => lands[cell.Cell]).OrderByDescending(group => group.Count()).FirstOrDefault();
            bool isTheirs = owner is not null && piece.Cells.Count(cell => lands[cell.Cell] >= 0) >= Absorbed * piece.Cells.Count;
            if (isTheirs) groups[owner!.Key].Add(piece);
            else copper.Add(piece);
        }
        foreach (var same in copper.GroupBy(piece => (piece.Kind, piece.Net))) groups.AddRange(Join([.. same], grid));
        groups.AddRange(changes.Where(IsAlone).Select(change => new ChangeGroup(grid, [change])));
        return groups;
    }

    private static bool IsAlone(RevisionChange change) => change.Kind switch
    {
        ChangeKind.ViasAdded or ChangeKind.ViasRemoved or ChangeKind.PartChanged => false,
        ChangeKind.CopperAdded or ChangeKind.CopperRemoved => change.Cells.Count == 0,
        _ => true,
    };

    private static IEnumerable<ChangeGroup> Vias(IReadOnlyList<RevisionChange> changes, BoardGrid grid)
    {
        foreach (var same in changes.Where(change => change.Kind is ChangeKind.ViasAdded or ChangeKind.ViasRemoved).GroupBy(change => (change.Kind, change.Net)))
        {
            RevisionChange[] all = [.. same];
            Box[] boxes = [.. all.Select(change => change.At.Aggregate(Box.Empty, (box, at) => box.Include(at)).Grow(1.5 * Near))];
            var sets = new Sets(all.Length);
            for (int first = 0; first < all.Length; first++)
            {
                for (int second = 0; second < first; second++)
                {
                    if (boxes[first].Overlaps(boxes[second])) sets.Join(first, second);
                }
            }
            foreach (var members in sets.Members()) yield return new ChangeGroup(grid, members.Select(index => all[index]));
        }
    }

    /// <summary>For each cell the group whose vias or pads lie there, or -1.</summary>
    private static int[] Lands(List<ChangeGroup> groups, Board baseline, Board candidate, BoardGrid grid)
    {
        int[] lands = [.. Enumerable.Repeat(-1, grid.CellCount)];
        double half = double.Hypot(grid.PitchX, grid.PitchY) / 2;
        void Mark(Box box, int group, Func<Point, bool> covers)
        {
            var (left, lower) = grid.CellAt(new(box.MinX - half, box.MinY - half));
            var (right, upper) = grid.CellAt(new(box.MaxX + half, box.MaxY + half));
            for (int row = lower; row <= upper; row++)
            {
                for (int column = left; column <= right; column++)
                {
                    if (covers(grid.Centre(column, row))) lands[row * grid.Columns + column] = group;
                }
            }
        }
        for (int group = 0; group < groups.Count; group++)
        {
            foreach (var change in groups[group].Changes)
            {
                foreach (var at in change.At)
                {
                    double reach = change.Reach + half;
                    Mark(new Box(at.X, at.Y, at.X, at.Y).Grow(change.Reach), group, centre => double.Hypot(centre.X - at.X, centre.Y - at.Y) <= reach);
                }
                if (change.Kind != ChangeKind.PartChanged) continue;
                var pads = baseline.Parts.Concat(candidate.Parts).Where(part => part.Id == change.Name).SelectMany(part => part.Terminals).Select(terminal => terminal.Pad.Bounds);
                foreach (var pad in pads) Mark(pad, group, _ => true);
            }
        }
        return lands;
    }

    /// <summary>Joins pieces that overlap in the plan, or lie near each other, on whichever layers.</summary>
    private static IEnumerable<ChangeGroup> Join(RevisionChange[] pieces, BoardGrid grid)
    {
        int[] seen = [.. Enumerable.Repeat(-1, grid.CellCount)];
        var sets = new Sets(pieces.Length);
        int columns = Math.Clamp((int)Math.Round(Near / 2 / grid.PitchX), 1, MostGrown), rows = Math.Clamp((int)Math.Round(Near / 2 / grid.PitchY), 1, MostGrown);
        for (int piece = 0; piece < pieces.Length; piece++)
        {
            foreach (var (cell, _) in pieces[piece].Cells)
            {
                int column = cell % grid.Columns, row = cell / grid.Columns;
                for (int r = Math.Max(0, row - rows); r <= Math.Min(grid.Rows - 1, row + rows); r++)
                {
                    for (int c = Math.Max(0, column - columns); c <= Math.Min(grid.Columns - 1, column + columns); c++)
                    {
                        int near = r * grid.Columns + c;
                        if (seen[near] < 0) seen[near] = piece;
                        else sets.Join(seen[near], piece);
                    }
                }
            }
        }
        return sets.Members().Select(members => new ChangeGroup(grid, members.Select(index => pieces[index])));
    }

    /// <summary>Disjoint sets of numbers.</summary>
    private sealed class Sets(int count)
    {
        private readonly int[] _parent = [.. Enumerable.Range(0, count)];

        public void Join(int first, int second) => _parent[Root(first)] = Root(second);

        public IEnumerable<IGrouping<int, int>> Members() => Enumerable.Range(0, count).GroupBy(Root);

        private int Root(int item)
        {
            while (_parent[item] != item) item = _parent[item] = _parent[_parent[item]];
            return item;
        }
    }
}
