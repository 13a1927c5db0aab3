using HeatSpread.Boards;
using HeatSpread.Thermal;

namespace HeatSpread.Insight;

/// <summary>
/// Looks for what makes a board hot. Each search gives drafts, with edits that would mend them. The edits are ranked by first order with the adjoints of the hottest parts, the best of
/// them tried on a coarse grid, and the best of these solved again on the grid of the answer.
/// </summary>
internal sealed class FindingSearch(Board board, Conditions conditions, GridSolution answer, GridSolution trial, double gridError, SolveCapacity capacity, CancellationToken cancellationToken)
{
    /// <summary>Least edits tried on the coarse grid, beside three for each that is checked.</summary>
    private const int UsualTrials = 16;

    /// <summary>An edit is suggested from this gain on, K, or from the grid's error where that is more.</summary>
    private const double LeastSuggested = 0.1;

    public (IReadOnlyList<Finding> Findings, IReadOnlyList<SuggestedEdit> Edits) Run(int checks)
    {
        if (board.Layers.Count == 0 || !answer.Field.Parts.Any(part => part.Watts > 0)) return ([], []);
        var trials = new EditTrials(board, answer, trial, capacity, cancellationToken);
        Draft[] drafts = [.. Drafts(trials)];
        var gains = Tried(drafts, trials, Math.Max(UsualTrials, 3 * checks));
        double rise = answer.Field.Parts[trials.HeatedParts[0]].MaxCelsius - conditions.AmbientCelsius;
        drafts = [.. drafts.Where(draft => Stands(draft, gains, rise))];
        var suggested = Checked(drafts, gains, trials, checks);
        var findings = drafts.Select(draft => Finished(draft, gains)).OrderByDescending(finding => finding.GainKelvin ?? 0).ThenByDescending(finding => finding.JumpKelvin ?? 0);
        return ([.. findings], suggested);
    }

    private IEnumerable<Draft> Drafts(EditTrials trials) =>
    [
        .. CutDrafts.Find(board, answer, gridError, cancellationToken),
        .. TerminalDrafts.Find(board, conditions, answer, gridError, cancellationToken),
        .. ViaDrafts.Find(board, conditions, answer, gridError, cancellationToken),
        .. NeckDrafts.Find(board, conditions, answer, gridError, cancellationToken),
        .. CrowdDrafts.Find(board, conditions, answer, trials, gridError),
    ];

    /// <summary>The gains of the edits that first order ranks highest, by trial.</summary>
    private static Dictionary<EditDraft, Gain> Tried(Draft[] drafts, EditTrials trials, int most)
    {
        EditDraft[] edits = [.. drafts.SelectMany(draft => draft.Edits)];
        if (edits.Length > most) edits = [.. edits.OrderByDescending(edit => trials.FirstOrder(edit.Edit)).Take(most)];
        return edits.ToDictionary(edit => edit, edit => trials.Try(edit.Edit));
    }

    private static bool Stands(Draft draft, Dictionary<EditDraft, Gain> gains, double rise)
    {
        double least = Math.Max(draft.LeastGain, draft.LeastShare * rise);
        return least <= 0 || draft.Edits.Count == 0 || draft.Edits.Any(edit => gains.TryGetValue(edit, out var gain) && gain.Kelvin >= least);
    }

    /// <summary>Checks the best edits, and tells those that may be suggested.</summary>
    private List<SuggestedEdit> Checked(Draft[] drafts, Dictionary<EditDraft, Gain> gains, EditTrials trials, int checks)
    {
        var ranked = drafts.SelectMany(draft => draft.Edits.Where(gains.ContainsKey).Select(edit => (Draft: draft, Edit: edit)))
            .OrderBy(pair => pair.Draft.IsForbidden).ThenByDescending(pair => gains[pair.Edit].Kelvin).Take(checks);
        var suggested = new List<SuggestedEdit>();
        foreach (var (draft, edit) in ranked.ToList())
        {
            var (gain, added) = trials.Check(edit.Edit);
            gains[edit] = gain;
            if (draft.IsForbidden || gain.Kelvin < Math.Max(LeastSuggested, gridError)) continue;
            string text = $"{edit.Text}: {board.Parts[gain.Part].Id} cools by {Words.Kelvin(gain.Kelvin, gridError)}.";
            suggested.Add(new(edit.Kind, gain.Part, edit.Layer, edit.Net, gain.Kelvin, true, added, edit.Edit, edit.Reroute, text));
        }
        return [.. suggested.OrderByDescending(edit => edit.GainKelvin)];
    }

    private Finding Finished(Draft draft, Dictionary<EditDraft, Gain> gains)
    {
        var known = draft.Edits.Where(gains.ContainsKey).ToList();
        if (known.Count == 0) return draft.Finding;
        var best = known.MaxBy(edit => (gains[edit].Checked, gains[edit].Kelvin))!;
        var gain = gains[best];
        bool tells = gain.Kelvin >= gridError && gain.Kelvin > 0;
        string part = board.Parts[gain.Part].Id;
        string sentence = !tells ? $"To mend it gains less than the grid's error of {Words.Kelvin(gridError, gridError)}."
            : draft.IsForbidden ? $"{best.Text}: {part} would cool by {(gain.Checked ? "" : "about ")}{Words.Kelvin(gain.Kelvin, gridError)}, but the net rules forbid it."
            : $"{best.Text}: {part} cools by {(gain.Checked ? "" : "about ")}{Words.Kelvin(gain.Kelvin, gridError)}.";
        return draft.Finding with
        {
            Part = draft.Finding.Part < 0 || tells ? gain.Part : draft.Finding.Part,
            GainKelvin = tells ? gain.Kelvin : null,
            Checked = tells && gain.Checked,
            Text = $"{draft.Finding.Text} {sentence}",
        };
    }
}
