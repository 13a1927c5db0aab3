using HeatSpread.Boards;

namespace HeatSpread.Insight;

/// <summary>What a cut by the clearances of vias costs, told by the same board with clearances that let copper pass between them.</summary>
/// <param name="Board">With them, on all layers of the vias.</param>
/// <param name="ClearanceMeters">The tightest of them.</param>
/// <param name="Groups">Tells the groups of vias that have them from others.</param>
internal sealed record TighterClearances(Board Board, double ClearanceMeters, string Groups)
{
    /// <summary>Between the pads or holes of neighbouring vias, m: with less no copper would fit, whatever the clearances.</summary>
    private const double LeastFree = 0.15e-3;

    /// <param name="board">The board.</param>
    /// <param name="cut">Made by the clearances of vias.</param>
    /// <returns>Clearances that leave copper as wide as half of what is free between pads; null where nothing would fit between them.</returns>
    public static TighterClearances? Of(Board board, PlaneCut cut)
    {
        bool IsNear(ViaGroup group, Point at) => GapPath.Off(at, cut.Path) <= group.Drill / 2 + group.Clearance;
        int[] groups = [.. Enumerable.Range(0, board.Vias.Count).Where(i => board.Vias[i] is { Clearance: > 0 } group && group.Net == cut.CutBy && group.FromLayer <= cut.Layer && cut.Layer <= group.ToLayer && group.At.Any(at => IsNear(group, at)))];
        Point[] near = [.. groups.SelectMany(i => board.Vias[i].At.Where(at => IsNear(board.Vias[i], at)))];
        if (near.Length < 2) return null;
        double spacing = Enumerable.Range(0, near.Length).Min(i => Enumerable.Range(0, near.Length).Where(j => j != i).Min(j => GapPath.Distance(near[i], near[j])));
        double free = spacing - groups.Max(i => Math.Max(board.Vias[i].Pad, board.Vias[i].Drill));
        if (free < LeastFree) return null;
        double Tighter(ViaGroup group) => Math.Min(group.Clearance, Math.Max(0, group.Pad - group.Drill) / 2 + free / 4);
        ViaGroup[] vias = [.. board.Vias.Select((group, i) => groups.Contains(i) ? group with { Clearance = Tighter(group) } : group)];
        return new(board with { Vias = vias }, groups.Min(i => vias[i].Clearance), string.Join(' ', groups));
    }
}
