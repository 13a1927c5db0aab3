using HeatSpread.Boards;
using HeatSpread.Thermal.Network;

namespace HeatSpread.Thermal.Revisions;

/// <summary>Groups of vias as another stack of layers has them.</summary>
internal static class ViaGroups
{
    /// <summary>The groups of a board between other layers of the same names. Those that join no two of them are left out.</summary>
    public static IReadOnlyList<ViaGroup> Between(Board board, IReadOnlyList<CopperLayer> layers)
    {
        int[] place = [.. board.Layers.Select(layer => RevisionStages.Find(layers, other => other.Name == layer.Name))];
        var groups = new List<ViaGroup>();
        foreach (var group in board.Vias)
        {
            int[] joined = [.. place[group.FromLayer..(group.ToLayer + 1)].Where(layer => layer >= 0)];
            if (joined.Length > 0) groups.Add(group with { FromLayer = joined.Min(), ToLayer = joined.Max() });
        }
        return groups;
    }
}

/// <summary>The barrels that were taken away and those that were put there, one by one, gathered by group of the document.</summary>
internal sealed class ViaStage(Placement placed, AdjointSums sums)
{
    /// <summary>Places nearer than this are one, m.</summary>
    private const double SamePlace = 1e-9;

    /// <param name="before">Groups of the baseline.</param>
    /// <param name="after">Groups of the candidate, between the same layers.</param>
    /// <param name="nets">Names by number.</param>
    public IEnumerable<RevisionChange> Changes(IReadOnlyList<ViaGroup> before, IReadOnlyList<ViaGroup> after, IReadOnlyList<Net> nets)
    {
        var then = Count(before);
        var now = Count(after);
        foreach (var group in before)
        {
            if (Change(group, now, ChangeKind.ViasRemoved, 1, nets) is { } change) yield return change;
        }
        foreach (var group in after)
        {
            if (Change(group, then, ChangeKind.ViasAdded, -1, nets) is { } change) yield return change;
        }
    }

    private RevisionChange? Change(ViaGroup group, Dictionary<Barrel, int> others, ChangeKind kind, double sign, IReadOnlyList<Net> nets)
    {
        Point[] at = [.. group.At.Where(place => !Take(others, new Barrel(group, place)))];
        if (at.Length == 0) return null;
        double[] kelvin = [.. Worth(group with { At = at }).Select(worth => sign * worth)];
        return new()
        {
            Kind = kind,
            Kelvin = kelvin,
            Net = group.Net < 0 ? null : nets[group.Net].Name,
            At = at,
            Reach = Math.Max(group.Pad / 2, group.Drill / 2 + group.Clearance),
        };
    }

    private double[] Worth(ViaGroup group)
    {
        var (network, sum) = (placed.Network, new double[sums.Readings]);
        int first = network.Stack.FirstOfRow[network.Board.Layers[group.FromLayer].Row], last = network.Stack.FirstOfRow[network.Board.Layers[group.ToLayer].Row];
        foreach (var (cell, conductanceLength) in PlatedBarrels.ConductanceLengths(group, network.Raster.Grid, network.Raster.BoardShareArray))
        {
            for (int sheet = first; sheet < last; sheet++)
            {
                double distance = (network.Stack.Sheets[sheet].Thickness + network.Stack.Sheets[sheet + 1].Thickness) / 2;
                sums.Add(sum, (float)(conductanceLength / distance), placed.Sheets[sheet] * network.PlaneCount + cell, placed.Sheets[sheet + 1] * network.PlaneCount + cell);
            }
        }
        return sum;
    }

    private static Dictionary<Barrel, int> Count(IReadOnlyList<ViaGroup> groups) =>
        groups.SelectMany(group => group.At.Select(at => new Barrel(group, at))).CountBy(barrel => barrel).ToDictionary();

    /// <summary>A barrel meets one like it, once.</summary>
    private static bool Take(Dictionary<Barrel, int> from, Barrel barrel)
    {
        if (!from.TryGetValue(barrel, out int left) || left == 0) return false;
        from[barrel] = left - 1;
        return true;
    }

    /// <summary>What makes one barrel like another: its place, its layers and how well it conducts. Its net and its pad are the copper's matter.</summary>
    private readonly record struct Barrel(long X, long Y, int FromLayer, int ToLayer, double Drill, double Plate, double Fill)
    {
        public Barrel(ViaGroup group, Point at)
            : this(
                (long)Math.Round(at.X / SamePlace),
                (long)Math.Round(at.Y / SamePlace),
                group.FromLayer,
                group.ToLayer,
                group.Drill,
                group.PlatingConductivity * group.PlatingArea,
                group.FillConductivity * group.FillArea)
        {
        }
    }
}
