using HeatSpread.Boards;
using HeatSpread.Thermal;

namespace HeatSpread.Insight;

/// <summary>One more row of vias beside those under a pad.</summary>
internal static class ViaRow
{
    /// <summary>Between vias where there is only one, m.</summary>
    private const double UsualPitch = 1e-3;

    /// <summary>Between a via's hole and copper of other nets, m.</summary>
    private const double Clearance = 0.25e-3;

    /// <returns>Null where there is no place for at least one via.</returns>
    public static ViaGroup? Beside(Board board, ViaGroup like, Point[] existing, Terminal terminal, BoardGrid grid, CancellationToken cancellationToken)
    {
        double pitch = existing.Length > 1 ? existing.Min(a => existing.Where(b => b != a).Min(b => GapPath.Distance(a, b))) : UsualPitch;
        pitch = Math.Clamp(pitch, 2 * like.Drill, UsualPitch);
        int wanted = Math.Max(3, (int)Math.Ceiling(Math.Sqrt(existing.Length)));
        var box = existing.Aggregate(terminal.Pad.Bounds, (all, via) => all.Include(via)).Grow(pitch);
        var mean = new Point(existing.Average(via => via.X), existing.Average(via => via.Y));
        var places = new Places(board, like, box, grid, cancellationToken);
        var taken = board.Vias.SelectMany(group => group.At).Where(via => via.X > box.MinX - pitch && via.X < box.MaxX + pitch && via.Y > box.MinY - pitch && via.Y < box.MaxY + pitch).ToList();
        var added = new List<Point>();
        // half a pitch off the old ones there may be room between them
        var candidates = from i in Enumerable.Range(0, (int)(2 * box.Width / pitch) + 1)
                         from j in Enumerable.Range(0, (int)(2 * box.Height / pitch) + 1)
                         select new Point(existing[0].X + (i - Math.Floor((existing[0].X - box.MinX) / (pitch / 2))) * pitch / 2, existing[0].Y + (j - Math.Floor((existing[0].Y - box.MinY) / (pitch / 2))) * pitch / 2);
        foreach (var at in candidates.OrderBy(at => GapPath.Distance(at, mean)))
        {
            if (added.Count == wanted) break;
            if (taken.Concat(added).Any(other => GapPath.Distance(other, at) < 0.7 * pitch) || !places.AreFree(at)) continue;
            added.Add(at);
        }
        return added.Count == 0 ? null : like with { At = added, Clearance = Math.Max(like.Clearance, Clearance) };
    }

    /// <summary>Where a via of a kind may stand: on its own net's copper where it starts, and on no layer in or near a track, pad or border of another net.</summary>
    private sealed class Places
    {
        private readonly FineWindow _window;
        private readonly int[][] _owners;
        private readonly ViaGroup _like;

        public Places(Board board, ViaGroup like, Box box, BoardGrid grid, CancellationToken cancellationToken)
        {
            var (left, lower) = grid.CellAt(new(box.MinX, box.MinY));
            var (right, upper) = grid.CellAt(new(box.MaxX, box.MaxY));
            int fine = Math.Clamp((int)Math.Ceiling(Math.Max(grid.PitchX, grid.PitchY) / 0.1e-3), 1, 12);
            _like = like;
            _window = FineWindow.Over(left - 3, lower - 3, right + 3, upper + 3, grid, fine);
            _owners = [.. Enumerable.Range(like.FromLayer, like.ToLayer - like.FromLayer + 1).Select(layer => CopperOwners.At(board, layer, _window.Points, cancellationToken))];
        }

        public bool AreFree(Point at)
        {
            double reach = Math.Max(_like.Pad / 2, _like.Drill / 2 + Clearance) + 0.1e-3;
            for (int layer = 0; layer < _owners.Length; layer++)
            {
                bool isOuter = layer == 0;
                int? found = null;
                foreach (int point in Within(at, reach))
                {
                    int owner = _owners[layer][point];
                    if (isOuter && owner != _like.Net) return false;
                    if (owner == CopperOwners.NoCopper) continue;
                    if (found is { } other && other != owner) return false; // a border between nets
                    found = owner;
                }
                // copper of another net all about it is a pour, which takes a clearance; else it is a track or pad
                if (found is { } single && single != _like.Net && Within(at, 2 * reach).Any(point => _owners[layer][point] != single)) return false;
            }
            return true;
        }

        private IEnumerable<int> Within(Point at, double reach)
        {
            var points = _window.Points;
            var (left, lower) = points.CellAt(new(at.X - reach, at.Y - reach));
            var (right, upper) = points.CellAt(new(at.X + reach, at.Y + reach));
            for (int row = lower; row <= upper; row++)
            {
                for (int column = left; column <= right; column++)
                {
                    if (GapPath.Distance(points.Centre(column, row), at) <= reach) yield return row * points.Columns + column;
                }
            }
        }
    }
}
