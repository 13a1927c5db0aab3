using HeatSpread.Boards;
using HeatSpread.Thermal;
using HeatSpread.Thermal.Revisions;

namespace HeatSpread.Insight.Comparison;

/// <summary>A board against another, both solved on one grid of the plan: what got hotter, by how much, and what made it so.</summary>
/// <param name="PeakDeltaKelvin">Hottest place of the candidate less that of the baseline, all rows of the stack.</param>
/// <param name="Parts">Of both boards, in the baseline's order, those that only the candidate has last.</param>
/// <param name="Ledger">One a part asked for, in their order.</param>
public sealed record BoardComparison(double PeakDeltaKelvin, IReadOnlyList<PartDelta> Parts, IReadOnlyList<PartLedger> Ledger)
{
    /// <summary>Most parts that get a ledger where none are asked for; each takes a solve.</summary>
    public const int MostLedgers = 8;

    /// <param name="baseline">Solved.</param>
    /// <param name="candidate">Solved on the same grid.</param>
    /// <param name="parts">Ids of the parts to be explained; null: those in both that make heat or have a limit, the most changed first.</param>
    /// <param name="partErrors">Grid error of each part's temperature by its id, K: the words claim nothing below it. A part that is not told has none.</param>
    /// <param name="cancellationToken">Ends it.</param>
    /// <exception cref="ArgumentException">The grids differ, or a part asked for is not in both boards.</exception>
    /// <exception cref="OperationCanceledException">As the token asks.</exception>
    /// <exception cref="ThermalSolveException">An adjoint was not found.</exception>
    public static BoardComparison Of(SolvedNetwork baseline, SolvedNetwork candidate, IReadOnlyList<string>? parts, IReadOnlyDictionary<string, double> partErrors, CancellationToken cancellationToken)
    {
        ArgumentNullException.ThrowIfNull(baseline);
        ArgumentNullException.ThrowIfNull(candidate);
        ArgumentNullException.ThrowIfNull(partErrors);
        TemperatureField before = baseline.Read(), after = candidate.Read();
        var deltas = Deltas(baseline.Board, before, candidate.Board, after);
        string[] explained = [.. parts ?? Explained(baseline, candidate, deltas)];
        (int, int)[] indices = [.. explained.Select(id => (IndexOf(baseline.Board, id), IndexOf(candidate.Board, id)))];
        if (indices.Any(pair => pair.Item1 < 0 || pair.Item2 < 0)) throw new ArgumentException("A part that is explained must be in both boards.", nameof(parts));
        IReadOnlyList<PartLedger> ledger = [];
        if (explained.Length > 0)
        {
            var changes = RevisionLedger.OfParts(baseline, candidate, indices, cancellationToken);
            var groups = ChangeGroups.Of(changes, baseline.Board, candidate.Board, candidate.Raster.Grid);
            ledger = [.. explained.Select((id, part) => Explain(id, part, deltas, groups, partErrors.GetValueOrDefault(id)))];
        }
        return new(Peak(after) - Peak(before), deltas, ledger);
    }

    internal static int IndexOf(Board board, string id)
    {
        for (int part = 0; part < board.Parts.Count; part++)
        {
            if (board.Parts[part].Id == id) return part;
        }
        return -1;
    }

    private static PartDelta[] Deltas(Board baseline, TemperatureField before, Board candidate, TemperatureField after)
    {
        double? Celsius(Board board, TemperatureField field, string id) => IndexOf(board, id) is >= 0 and int part ? field.Parts[part].MaxCelsius : null;
        return [.. baseline.Parts.Concat(candidate.Parts).Select(part => part.Id).Distinct().Select(id => new PartDelta(id, Celsius(baseline, before, id), Celsius(candidate, after, id)))];
    }

    private static IEnumerable<string> Explained(SolvedNetwork baseline, SolvedNetwork candidate, IEnumerable<PartDelta> deltas)
    {
        bool Matters(SolvedNetwork solved, string id)
        {
            int part = IndexOf(solved.Board, id);
            return solved.WattsOf(part) != 0 || solved.Board.Parts[part].LimitCelsius is not null;
        }
        return deltas.Where(delta => delta.DeltaKelvin is not null && (Matters(baseline, delta.Id) || Matters(candidate, delta.Id)))
            .OrderByDescending(delta => Math.Abs(delta.DeltaKelvin!.Value)).Take(MostLedgers).Select(delta => delta.Id);
    }

    private static PartLedger Explain(string id, int part, IEnumerable<PartDelta> deltas, IReadOnlyList<ChangeGroup> groups, double partError) =>
        new(id, deltas.Single(delta => delta.Id == id).DeltaKelvin!.Value, LedgerEntry.Of(id, part, groups, partError));

    private static double Peak(TemperatureField field) => field.RowCelsius.Max(row => row.Where(celsius => !float.IsNaN(celsius)).DefaultIfEmpty(float.MinValue).Max());
}

/// <param name="Id">Of the part.</param>
/// <param name="BaselineCelsius">Its hottest temperature; null where the baseline has no such part.</param>
/// <param name="Celsius">As the baseline's, of the candidate.</param>
public sealed record PartDelta(string Id, double? BaselineCelsius, double? Celsius)
{
    /// <summary>Null where only one board has the part.</summary>
    public double? DeltaKelvin => Celsius - BaselineCelsius;
}

/// <param name="Part">Id.</param>
/// <param name="DeltaKelvin">K that it is hotter in the candidate.</param>
/// <param name="Entries">They add up to it; largest first, whichever their sign, the small ones as one at the end.</param>
public sealed record PartLedger(string Part, double DeltaKelvin, IReadOnlyList<LedgerEntry> Entries);
