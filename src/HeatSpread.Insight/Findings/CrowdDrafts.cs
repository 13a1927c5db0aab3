using HeatSpread.Boards;

namespace HeatSpread.Insight;

/// <summary>The finding <c>crowdedSources</c>: parts that heat each other more than the warm board as a whole does.</summary>
internal static class CrowdDrafts
{
    /// <summary>K by which a part is warmed by another beyond what it would be anywhere on the board.</summary>
    public const double LeastKelvin = 5;

    /// <summary>The same as a share of the warmed part's rise.</summary>
    public const double LeastShare = 0.2;

    public static IEnumerable<Draft> Find(Board board, Conditions conditions, GridSolution answer, EditTrials trials, double gridError)
    {
        double rises = answer.Field.RowCelsius[board.Layers[0].Row].Where(float.IsFinite).Average(celsius => (double)celsius) - conditions.AmbientCelsius;
        double watts = answer.Field.Parts.Sum(part => part.Watts);
        for (int rank = 0; rank < trials.ReadingCount; rank++)
        {
            int warmed = trials.HeatedParts[rank];
            double rise = answer.Field.Parts[warmed].MaxCelsius - conditions.AmbientCelsius;
            foreach (int by in trials.HeatedParts.Where(part => part != warmed))
            {
                double share = trials.Warming(rank, by), anywhere = rises * answer.Field.Parts[by].Watts / watts, beyond = share - anywhere;
                if (beyond < Math.Max(LeastKelvin, gridError) || beyond < LeastShare * rise) continue;
                yield return new(
                    new()
                    {
                        Kind = FindingKind.CrowdedSources,
                        Part = warmed,
                        JumpKelvin = share,
                        Watts = answer.Field.Parts[by].Watts,
                        Path = [Middle(board.Parts[warmed]), Middle(board.Parts[by])],
                        LengthMeters = GapPath.Distance(Middle(board.Parts[warmed]), Middle(board.Parts[by])),
                        Text = $"{board.Parts[by].Id} warms {board.Parts[warmed].Id} by {Words.Kelvin(share, gridError)}; far from each other it would be about {Words.Kelvin(anywhere, gridError)}. Move the two apart.",
                    },
                    []);
            }
        }
    }

    internal static Point Middle(Part part)
    {
        var box = part.Body?.Bounds ?? part.Terminals.Aggregate(Box.Empty, (all, terminal) => all.Include(terminal.Pad.Bounds));
        return new((box.MinX + box.MaxX) / 2, (box.MinY + box.MaxY) / 2);
    }
}
