using HeatSpread.Boards;

namespace HeatSpread.Insight;

/// <summary>The finding <c>crowdedSources</c>: parts that heat each other more than the warm board as a whole does.</summary>
internal static class CrowdDrafts
{
    /// <summary>K by which a part is warmed by another beyond what it would be anywhere on the board.</summary>
    public const double LeastKelvin = 5;

    /// <summary>The same as a share of the warmed part's rise.</summary>
    public const double LeastShare = 0.2;

    /// <summary>The hottest parts that make heat are looked at, so many of them.</summary>
    public const int MostParts = 8;

    public static IEnumerable<Draft> Find(Board board, Conditions conditions, GridSolution answer, EditTrials trials, GridErrors errors)
    {
        if (trials.HeatedParts.Count < 2) yield break;
        double rises = answer.Field.RowCelsius[board.Layers[0].Row].Where(float.IsFinite).Average(celsius => (double)celsius) - conditions.AmbientCelsius;
        double watts = answer.Field.Parts.Sum(part => part.Watts);
        int[] parts = [.. trials.HeatedParts.Take(MostParts)];
        var influence = trials.Influence(parts);
        for (int i = 0; i < parts.Length; i++)
        {
            double rise = answer.Field.Parts[parts[i]].MaxCelsius - conditions.AmbientCelsius, error = errors.Parts[parts[i]];
            for (int j = 0; j < parts.Length; j++)
            {
                double share = influence.KelvinPerWatt[i][j] * answer.Field.Parts[parts[j]].Watts, anywhere = rises * answer.Field.Parts[parts[j]].Watts / watts, beyond = share - anywhere;
                if (i == j || beyond < Math.Max(LeastKelvin, error) || beyond < LeastShare * rise) continue;
                Part warmed = board.Parts[parts[i]], by = board.Parts[parts[j]];
                yield return new(
                    new()
                    {
                        Kind = FindingKind.CrowdedSources,
                        Part = parts[i],
                        JumpKelvin = share,
                        Watts = answer.Field.Parts[parts[j]].Watts,
                        Path = [Middle(warmed), Middle(by)],
                        LengthMeters = GapPath.Distance(Middle(warmed), Middle(by)),
                        Text = $"{by.Id} warms {warmed.Id} by {Words.Kelvin(share, error)}; far from each other it would be {Words.About(anywhere, error)}. {Advice(board, warmed, by)}",
                    },
                    []);
            }
        }
    }

    /// <summary>Parts at one switching node belong together: the longer it is, the more it radiates.</summary>
    private static string Advice(Board board, Part first, Part second)
    {
        var shared = first.Terminals.Select(terminal => terminal.Net).Intersect(second.Terminals.Select(terminal => terminal.Net)).Where(net => net >= 0 && board.Nets[net].FixedArea).ToList();
        return shared.Count == 0 ? "Move the two apart." : $"They share {board.Nets[shared[0]].Name}, which may not grow, so moving them apart is not suggested.";
    }

    internal static Point Middle(Part part) => (part.Body?.Bounds ?? part.Terminals.Aggregate(Box.Empty, (all, terminal) => all.Include(terminal.Pad.Bounds))).Centre;
}
