using HeatSpread.Boards;
using HeatSpread.Thermal;

namespace HeatSpread.Insight;

/// <summary>What a cut by the clearances of vias costs, told by the same board with clearances that let copper pass between them.</summary>
/// <param name="Change">The board with them, on all layers of the vias.</param>
/// <param name="ClearanceMeters">The tightest of them.</param>
/// <param name="Vias">That have them, ascending.</param>
internal sealed record TighterClearances(ChangedBoard Change, double ClearanceMeters, IReadOnlyList<Point> Vias)
{
    /// <summary>Between the pads or holes of neighbouring vias, m: with less no copper would fit, whatever the clearances.</summary>
    private const double LeastFree = 0.15e-3;

    /// <summary>Holes nearer to each other than this, m, are one, drilled in steps.</summary>
    private const double SamePlace = 1e-6;

    /// <summary>The same vias cut several layers.</summary>
    public bool AreOf(TighterClearances other) => Vias.SequenceEqual(other.Vias);

    /// <param name="board">The board.</param>
    /// <param name="cut">Made by the clearances of vias.</param>
    /// <returns>
    /// Clearances that leave copper as wide as half of what is free between pads, of the vias whose clearances meet along the cut, from one to the next; null where nothing would fit between them.
    /// </returns>
    public static TighterClearances? Of(Board board, PlaneCut cut)
    {
        (int Group, Point At)[] vias = [.. board.Vias.SelectMany((group, index) => Cuts(group, cut) ? group.At.Select(at => (index, at)) : [])];
        var (meeting, spacing) = Meeting(board, cut, vias);
        if (meeting.Count == 0) return null;
        double free = spacing - meeting.Max(via => Copper(board.Vias[vias[via].Group]));
        if (!(free >= LeastFree) || !double.IsFinite(free)) return null;

        var at = meeting.Select(via => vias[via]).ToLookup(via => via.Group, via => via.At);
        ViaGroup[] tighter = [.. at.Select(of => board.Vias[of.Key] with { At = [.. of], Clearance = Math.Min(board.Vias[of.Key].Clearance, (Copper(board.Vias[of.Key]) - board.Vias[of.Key].Drill) / 2 + free / 4) })];
        var others = board.Vias.Select((group, index) => at.Contains(index) ? group with { At = [.. group.At.Except(at[index])] } : group).Where(group => group.At.Count > 0);
        var bounds = at.SelectMany(of => of.Select(point => (Point: point, Reach: Reach(board.Vias[of.Key])))).Aggregate(Box.Empty, (box, via) => box.Include(Box.Empty.Include(via.Point).Grow(via.Reach)));
        int[] layers = [.. tighter.SelectMany(group => Enumerable.Range(group.FromLayer, group.ToLayer - group.FromLayer + 1)).Distinct()];
        return new(new(board with { Vias = [.. others, .. tighter] }, bounds, layers), tighter.Min(group => group.Clearance), [.. at.SelectMany(of => of).OrderBy(point => point.X).ThenBy(point => point.Y)]);
    }

    private static bool Cuts(ViaGroup group, PlaneCut cut) => group.Clearance > 0 && group.Net == cut.CutBy && group.FromLayer <= cut.Layer && cut.Layer <= group.ToLayer;

    /// <summary>Diameter of what is copper or hole of a via, m.</summary>
    private static double Copper(ViaGroup group) => Math.Max(group.Pad, group.Drill);

    private static double Reach(ViaGroup group) => group.Drill / 2 + group.Clearance;

    /// <summary>The vias beside the cut, and all whose clearances meet those of one that is among them already.</summary>
    /// <returns>Indices, and the least distance between two neighbours, m.</returns>
    private static (HashSet<int> Vias, double Spacing) Meeting(Board board, PlaneCut cut, (int Group, Point At)[] vias)
    {
        double ReachOf(int via) => Reach(board.Vias[vias[via].Group]);
        double widest = 2 * Enumerable.Range(0, vias.Length).Select(ReachOf).DefaultIfEmpty(1).Max(), spacing = double.PositiveInfinity;
        (long X, long Y) Cell(int via) => ((long)Math.Floor(vias[via].At.X / widest), (long)Math.Floor(vias[via].At.Y / widest));
        var inCell = Enumerable.Range(0, vias.Length).ToLookup(Cell);
        var meeting = Enumerable.Range(0, vias.Length).Where(via => GapPath.Off(vias[via].At, cut.Path) <= ReachOf(via)).ToHashSet();
        var waiting = new Stack<int>(meeting);
        while (waiting.TryPop(out int via))
        {
            var (x, y) = Cell(via);
            for (int k = 0; k < 9; k++)
            {
                foreach (int other in inCell[(x - 1 + k % 3, y - 1 + k / 3)])
                {
                    double distance = GapPath.Distance(vias[via].At, vias[other].At);
                    if (distance > ReachOf(via) + ReachOf(other)) continue;
                    if (distance > SamePlace) spacing = Math.Min(spacing, distance);
                    if (meeting.Add(other)) waiting.Push(other);
                }
            }
        }
        return (meeting, spacing);
    }
}
