using HeatSpread.Boards;
using HeatSpread.Thermal;

namespace HeatSpread.Insight;

/// <summary>What a cut by the clearances of vias costs, told by the same board with clearances that let copper pass between them.</summary>
/// <param name="Change">The board with them, on all layers of the vias.</param>
/// <param name="ClearanceMeters">The tightest of them.</param>
/// <param name="Vias">That have them, by their groups, as they stand there.</param>
internal sealed record TighterClearances(ChangedBoard Change, double ClearanceMeters, IReadOnlyList<(int Group, Point At)> Vias)
{
    /// <summary>Between the pads or holes of neighbouring vias, m: with less no copper would fit, whatever the clearances.</summary>
    private const double LeastFree = 0.15e-3;

    /// <summary>The same vias cut several layers.</summary>
    public bool AreOf(TighterClearances other) => Vias.SequenceEqual(other.Vias);

    /// <param name="board">The board.</param>
    /// <param name="cut">Made by the clearances of vias.</param>
    /// <returns>
    /// Clearances that leave copper as wide as half of what is free between pads, of the vias whose clearances meet along the cut, from one to the next; null where nothing would fit between them at the cut.
    /// </returns>
    public static TighterClearances? Of(Board board, PlaneCut cut)
    {
        (int Group, Point At)[] vias = [.. board.Vias.SelectMany((group, index) => Cuts(group, cut) ? group.At.Select(at => (index, at)) : [])];
        var (meeting, free) = Meeting(board, cut, vias);
        if (!double.IsFinite(free)) return null;

        HashSet<(int Group, Point At)> changed = [.. meeting.Select(via => vias[via])];
        (int Group, ViaGroup Of)[] tighter = [.. changed.Select(via => via.Group).Distinct().Select(index => (index, Tighter(board.Vias[index], free)))];
        // Each in the place of its group, as what is painted later has the last word.
        var all = board.Vias.SelectMany((group, index) => tighter.Where(each => each.Group == index).Select(each => each.Of with { At = [.. group.At.Where(at => changed.Contains((index, at)))] })
            .Append(group with { At = [.. group.At.Where(at => !changed.Contains((index, at)))] })).Where(group => group.At.Count > 0);
        var bounds = changed.Aggregate(Box.Empty, (box, via) => box.Include(Box.Empty.Include(via.At).Grow(Reach(board.Vias[via.Group]))));
        int[] layers = [.. tighter.SelectMany(each => Enumerable.Range(each.Of.FromLayer, each.Of.ToLayer - each.Of.FromLayer + 1)).Distinct()];
        return new(new(board with { Vias = [.. all] }, bounds, layers), tighter.Min(each => each.Of.Clearance), [.. vias.Where(changed.Contains)]);
    }

    private static ViaGroup Tighter(ViaGroup group, double free) => group with { Clearance = Math.Min(group.Clearance, (Copper(group) - group.Drill) / 2 + free / 4) };

    private static bool Cuts(ViaGroup group, PlaneCut cut) => group.Clearance > 0 && group.Net == cut.CutBy && group.FromLayer <= cut.Layer && cut.Layer <= group.ToLayer;

    /// <summary>Diameter of what is copper or hole of a via, m.</summary>
    private static double Copper(ViaGroup group) => Math.Max(group.Pad, group.Drill);

    private static double Reach(ViaGroup group) => group.Drill / 2 + group.Clearance;

    /// <summary>The vias beside the cut, and all whose clearances meet those of one that is among them already.</summary>
    /// <returns>Indices, and the least of what is free between two neighbours where it is enough, m; infinite where it is enough nowhere at the cut.</returns>
    private static (HashSet<int> Vias, double Free) Meeting(Board board, PlaneCut cut, (int Group, Point At)[] vias)
    {
        ViaGroup GroupOf(int via) => board.Vias[vias[via].Group];
        double widest = 2 * Enumerable.Range(0, vias.Length).Select(via => Reach(GroupOf(via))).DefaultIfEmpty(1).Max(), free = double.PositiveInfinity;
        (long X, long Y) Cell(int via) => ((long)Math.Floor(vias[via].At.X / widest), (long)Math.Floor(vias[via].At.Y / widest));
        var inCell = Enumerable.Range(0, vias.Length).ToLookup(Cell);
        HashSet<int> beside = [.. Enumerable.Range(0, vias.Length).Where(via => GapPath.Off(vias[via].At, cut.Path) <= Reach(GroupOf(via)))], meeting = [.. beside];
        bool isRoomAtCut = false;
        var waiting = new Stack<int>(meeting);
        while (waiting.TryPop(out int via))
        {
            var (x, y) = Cell(via);
            for (int k = 0; k < 9; k++)
            {
                foreach (int other in inCell[(x - 1 + k % 3, y - 1 + k / 3)])
                {
                    double distance = GapPath.Distance(vias[via].At, vias[other].At), between = distance - (Copper(GroupOf(via)) + Copper(GroupOf(other))) / 2;
                    if (distance > Reach(GroupOf(via)) + Reach(GroupOf(other))) continue;
                    if (between >= LeastFree)
                    {
                        free = Math.Min(free, between);
                        isRoomAtCut |= beside.Contains(via) && beside.Contains(other);
                    }
                    if (meeting.Add(other)) waiting.Push(other);
                }
            }
        }
        return (meeting, isRoomAtCut ? free : double.PositiveInfinity);
    }
}
