using HeatSpread.Boards;
using HeatSpread.Thermal;

namespace HeatSpread.Insight;

/// <summary>
/// The edit that closes a gap: the net's copper over the gap, up to the copper on both sides. What cuts it is taken off that layer over that stretch, as it would
/// be where the track is led over another layer. Vias and pads in the gap stay, and so does everything else, where <see cref="CopperRoom"/> leaves the net no room.
/// </summary>
internal static class GapFill
{
    private const double FinestPoint = 0.08e-3;

    /// <returns>Null where nothing can be filled.</returns>
    public static BoardEdit? Of(Board board, PlaneCut cut, BoardGrid grid, CancellationToken cancellationToken)
    {
        int fine = Math.Clamp((int)Math.Ceiling(Math.Max(grid.PitchX, grid.PitchY) / FinestPoint), 2, 12);
        double ends = Math.Min(cut.WidthMeters, GapScan.WidestGap);
        int margin = 1 + (int)Math.Ceiling((CopperRoom.MostClearance(board, cut.Layer) + ends) / Math.Min(grid.PitchX, grid.PitchY));
        var window = FineWindow.Over(cut.Links.SelectMany(link => (int[])[link.From, link.To]), grid, fine, margin);
        int[] owners = CopperOwners.At(board, cut.Layer, window.Points, cancellationToken);
        int[] fixtures = CopperOwners.At(board.WithoutCopper(), cut.Layer, window.Points, cancellationToken);
        bool IsOwn(int i) => owners[i] == cut.Net || owners[i] == cut.Other;
        bool[] zone = WithEnds(Zone(cut, window), i => owners[i] == CopperOwners.NoCopper || (cut.CutBy >= 0 && owners[i] == cut.CutBy), ends, window.Points);

        int[] staying = [.. owners];
        bool[] gap = new bool[zone.Length], removed = new bool[zone.Length];
        for (int i = 0; i < staying.Length; i++)
        {
            removed[i] = zone[i] && cut.CutBy >= 0 && owners[i] == cut.CutBy && fixtures[i] != cut.CutBy;
            if (removed[i] || IsOwn(i)) staying[i] = CopperOwners.NoCopper;
            gap[i] = zone[i] && !IsOwn(i) && staying[i] == CopperOwners.NoCopper;
        }
        bool[] fill = CopperRoom.For(board, cut.Layer, cut.Net, staying, window.Points, cut.CutBy, cancellationToken);
        for (int i = 0; i < fill.Length; i++) fill[i] &= gap[i] || (zone[i] && IsOwn(i));
        fill = PointArea.JoinedTo(gap, fill, window.Points); // the net's own copper that no gap touches needs no more
        // a little more than the track, so that no sliver of it stays beside the fill, which is painted after
        removed = PointArea.Grown(removed, window.Points, 2 * Math.Max(window.Points.PitchX, window.Points.PitchY));
        for (int i = 0; i < removed.Length; i++) removed[i] &= zone[i] && !IsOwn(i);
        if (PointArea.Outlined(fill, window.Points) is not { } filled) return null;
        var copper = new List<CopperFeature>();
        if (PointArea.Outlined(removed, window.Points) is { } off) copper.Add(new() { Layer = cut.Layer, Net = -1, IsClear = true, Area = off });
        copper.Add(new() { Layer = cut.Layer, Net = cut.Net, Area = filled });
        return new(copper, []);
    }

    /// <summary>With what goes on of the gap beyond the ends of the line across which the temperature falls, as far as it is wide, and the copper beside that.</summary>
    private static bool[] WithEnds(bool[] zone, Func<int, bool> isGap, double reach, BoardGrid points)
    {
        var gap = new bool[zone.Length];
        var rim = new List<int>();
        for (int i = 0; i < zone.Length; i++)
        {
            if (!zone[i] || !isGap(i)) continue;
            gap[i] = true;
            rim.Add(i);
        }
        for (int steps = (int)(reach / Math.Max(points.PitchX, points.PitchY)); steps > 0 && rim.Count > 0; steps--)
        {
            var next = new List<int>();
            foreach (int i in rim)
            {
                int column = i % points.Columns;
                if (column > 0) Visit(i - 1, next);
                if (column + 1 < points.Columns) Visit(i + 1, next);
                if (i >= points.Columns) Visit(i - points.Columns, next);
                if (i + points.Columns < zone.Length) Visit(i + points.Columns, next);
            }
            rim = next;
        }
        bool[] whole = PointArea.Grown(gap, points, 2 * Math.Max(points.PitchX, points.PitchY));
        for (int i = 0; i < whole.Length; i++) whole[i] |= zone[i];
        return whole;

        void Visit(int i, List<int> next)
        {
            if (gap[i] || !isGap(i)) return;
            gap[i] = true;
            next.Add(i);
        }
    }

    private static bool[] Zone(PlaneCut cut, FineWindow window)
    {
        var zone = new bool[window.Points.CellCount];
        foreach (int cell in cut.Links.SelectMany(link => link.Cells(window.Grid.Columns)).Distinct())
        {
            foreach (int at in window.Of(cell)) zone[at] = true;
        }
        return zone;
    }
}
