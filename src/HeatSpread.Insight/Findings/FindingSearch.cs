using HeatSpread.Boards;
using HeatSpread.Thermal;

namespace HeatSpread.Insight;

/// <summary>
/// Looks for what makes a board hot. Each search gives drafts, with edits that would mend them. The edits are ranked by first order with the adjoints of the hottest parts, the best of
/// them tried on a coarse grid, and the best of these solved again on the grid of the answer.
/// </summary>
internal sealed class FindingSearch(Board board, Conditions conditions, GridSolution answer, GridSolution trial, GridErrors errors, SolveCapacity capacity, CancellationToken cancellationToken)
{
    /// <summary>Least edits tried on the coarse grid, beside three for each that is checked.</summary>
    private const int UsualTrials = 16;

    /// <summary>An edit is suggested from this gain on, K, or from the grid error of the part that it cools where that is more.</summary>
    private const double LeastSuggested = 0.1;

    /// <summary>Cuts by vias whose clearances are tried tighter, beside the edits that are checked; each costs about as much as one of these.</summary>
    private const int MostClearances = 2;

    private readonly ParallelOptions _onAllCores = new() { MaxDegreeOfParallelism = capacity.Cores, CancellationToken = cancellationToken };

    public (IReadOnlyList<Finding> Findings, IReadOnlyList<SuggestedEdit> Edits) Run(int checks)
    {
        if (board.Layers.Count == 0 || !answer.Field.Parts.Any(part => part.Watts > 0)) return ([], []);
        var trials = new EditTrials(board, answer, trial, errors, capacity, cancellationToken);
        Draft[] drafts = Drafts(trials);
        double rise = answer.Field.Parts[trials.HeatedParts[0]].MaxCelsius - conditions.AmbientCelsius;
        var tried = Tried(drafts, trials, rise, Math.Max(UsualTrials, 3 * checks));
        var gains = tried.ToDictionary(pair => pair.Key, pair => pair.Value.Gain);
        drafts = [.. drafts.Where(draft => Stands(draft, gains, rise))];
        var suggested = Checked(drafts, gains, tried, trials, checks);
        var tighter = WithTighterClearances(drafts, trials, Math.Min(checks, MostClearances));
        var findings = drafts.Select(draft => Finished(draft, gains, tighter)).OrderByDescending(finding => finding.GainKelvin ?? 0).ThenByDescending(finding => finding.JumpKelvin ?? 0);
        return ([.. findings], suggested);
    }

    private Draft[] Drafts(EditTrials trials)
    {
        Func<IEnumerable<Draft>>[] searches =
        [
            () => CutDrafts.Find(board, answer, trial, errors, _onAllCores),
            () => TerminalDrafts.Find(board, conditions, answer, errors, _onAllCores),
            () => ViaDrafts.Find(board, conditions, answer, errors, cancellationToken),
            () => NeckDrafts.Find(board, conditions, answer, errors, _onAllCores),
            () => CrowdDrafts.Find(board, conditions, answer, trials, errors),
        ];
        var found = new Draft[searches.Length][];
        Parallel.For(0, searches.Length, _onAllCores, i => found[i] = [.. searches[i]()]);
        return [.. found.SelectMany(drafts => drafts)];
    }

    /// <summary>
    /// Trials of the edits that first order ranks highest. Of a draft's edits the last, the largest, is tried first; where it gains too little the others are left out.
    /// </summary>
    private Dictionary<EditDraft, Trial> Tried(Draft[] drafts, EditTrials trials, double rise, int most)
    {
        EditDraft[] edits = [.. drafts.SelectMany(draft => draft.Edits)];
        if (edits.Length > most) edits = [.. edits.OrderByDescending(edit => trials.FirstOrder(edit.Edit.On(board))).Take(most)];
        var tried = new Dictionary<EditDraft, Trial>();
        var shown = drafts.SelectMany(draft => draft.Edits.Select(edit => (edit, draft.ShownByTrials))).ToDictionary();
        var ofDrafts = drafts.Select(draft => (Draft: draft, Edits: draft.Edits.Where(edits.Contains).ToList())).Where(pair => pair.Edits.Count > 0).ToList();
        TryAll([.. ofDrafts.Select(pair => pair.Edits[^1])]);
        TryAll([.. ofDrafts.Where(pair => tried.TryGetValue(pair.Edits[^1], out var trial) && IsEnough(pair.Draft, trial.Gain, rise)).SelectMany(pair => pair.Edits.SkipLast(1))]);
        return tried;

        void TryAll(EditDraft[] some)
        {
            var found = new Trial?[some.Length];
            Parallel.For(0, some.Length, _onAllCores, i => found[i] = trials.Try(some[i].Edit.On(board)));
            for (int i = 0; i < some.Length; i++)
            {
                if (found[i] is { } trial) tried[some[i]] = trial with { Gain = trial.Gain with { Kelvin = trial.Gain.Kelvin / shown[some[i]] } };
            }
        }
    }

    private bool IsEnough(Draft draft, Gain gain, double rise) => gain.Kelvin >= Math.Max(draft.LeastGain, draft.LeastShare * rise) && (!draft.NeedsClaim || errors.Allow(gain));

    private bool Stands(Draft draft, Dictionary<EditDraft, Gain> gains, double rise) =>
        draft.Edits.Count == 0 || draft.Edits.Any(edit => gains.TryGetValue(edit, out var gain) && IsEnough(draft, gain, rise));

    /// <summary>Checks the best edits, and tells those that may be suggested.</summary>
    private List<SuggestedEdit> Checked(Draft[] drafts, Dictionary<EditDraft, Gain> gains, Dictionary<EditDraft, Trial> tried, EditTrials trials, int checks)
    {
        var ranked = drafts.SelectMany(draft => draft.Edits.Where(gains.ContainsKey).Select(edit => (Draft: draft, Edit: edit)))
            .OrderBy(pair => pair.Draft.IsForbidden).ThenByDescending(pair => errors.Allow(gains[pair.Edit])).ThenByDescending(pair => gains[pair.Edit].Kelvin).Take(checks);
        var suggested = new List<SuggestedEdit>();
        foreach (var (draft, edit) in ranked.ToList())
        {
            if (trials.Check(edit.Edit.On(board), tried[edit].Change) is not { } check) continue;
            var (gain, network) = check;
            gains[edit] = gain;
            if (draft.IsForbidden || gain.Kelvin < LeastSuggested || !errors.Allow(gain)) continue;
            string text = $"{edit.Text}: {board.Parts[gain.Part].Id} cools by {Words.Kelvin(gain.Kelvin, errors.Parts[gain.Part])}.";
            suggested.Add(new(edit.Kind, gain.Part, edit.Layer, edit.Net, gain.Kelvin, true, network.AddedCopper(cancellationToken), edit.Edit, edit.Reroute, text));
        }
        return [.. suggested.OrderByDescending(edit => edit.GainKelvin)];
    }

    /// <summary>What clearances that let copper pass would gain. The same vias cut several layers, and are tried once.</summary>
    private static Dictionary<Draft, Gain> WithTighterClearances(Draft[] drafts, EditTrials trials, int most)
    {
        var gains = new Dictionary<Draft, Gain>(ReferenceEqualityComparer.Instance);
        var tried = new List<(TighterClearances Clearances, Gain? Gain)>();
        foreach (var draft in drafts)
        {
            if (draft.Tighter is not { } tighter) continue;
            int known = tried.FindIndex(each => each.Clearances.AreOf(tighter));
            if (known < 0)
            {
                if (tried.Count == most) continue;
                known = tried.Count;
                tried.Add((tighter, trials.Try(tighter.Change) is { } trial ? trials.Check(tighter.Change, trial.Change)?.Gain : null));
            }
            if (tried[known].Gain is { } gain) gains[draft] = gain;
        }
        return gains;
    }

    private Finding Finished(Draft draft, Dictionary<EditDraft, Gain> gains, Dictionary<Draft, Gain> tighter)
    {
        if (tighter.TryGetValue(draft, out var ofVias)) return Finished(draft, ofVias, FormattableString.Invariant($"With clearances of {draft.Tighter!.ClearanceMeters * 1e3:0.00} mm copper would fit between them as they stand"));
        var known = draft.Edits.Where(gains.ContainsKey).ToList();
        if (known.Count == 0) return draft.Finding;
        var best = known.MaxBy(edit => (gains[edit].Checked, gains[edit].Kelvin))!;
        return Finished(draft, gains[best], best.Text);
    }

    /// <param name="draft">Its text goes on with the gain.</param>
    /// <param name="gain">Of the best edit.</param>
    /// <param name="mend">What to do.</param>
    private Finding Finished(Draft draft, Gain gain, string mend)
    {
        bool tells = errors.Allow(gain);
        double error = errors.Parts[gain.Part];
        string part = board.Parts[gain.Part].Id, size = gain.Checked ? Words.Kelvin(gain.Kelvin, error) : Words.About(gain.Kelvin, error);
        string sentence = !tells ? $"Mending it cools no part by more than the grid can tell ({Words.Bound(error)} for {part})."
            : draft.IsForbidden ? $"{mend}: {part} would cool by {size}, but the net rules forbid it."
            : $"{mend}: {part} cools by {size}.";
        return draft.Finding with
        {
            Part = draft.Finding.Part < 0 || tells ? gain.Part : draft.Finding.Part,
            GainKelvin = tells ? gain.Kelvin : null,
            Checked = tells && gain.Checked,
            Text = $"{draft.Finding.Text} {sentence}",
        };
    }
}
