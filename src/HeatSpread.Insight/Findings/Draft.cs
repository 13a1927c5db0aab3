using HeatSpread.Thermal;

namespace HeatSpread.Insight;

/// <summary>What an edit gains.</summary>
/// <param name="Part">Index of the part that it cools most.</param>
/// <param name="Kelvin">By how much.</param>
/// <param name="Checked">By a solve on the answer's grid.</param>
internal readonly record struct Gain(int Part, double Kelvin, bool Checked);

/// <param name="Gain">By a solve on the grid of trials.</param>
/// <param name="Change">Of its field.</param>
internal sealed record Trial(Gain Gain, CoarseChange Change);

/// <summary>An edit that may be tried.</summary>
/// <param name="Kind">Of edit.</param>
/// <param name="Layer">Index; -1 for vias.</param>
/// <param name="Net">Index; -1 for none.</param>
/// <param name="Edit">What it adds.</param>
/// <param name="Reroute">Nets whose tracks it takes off the layer.</param>
/// <param name="Text">What to do, as the beginning of a sentence that ends with the gain.</param>
internal sealed record EditDraft(EditKind Kind, int Layer, int Net, BoardEdit Edit, IReadOnlyList<int> Reroute, string Text);

/// <summary>A finding before its gain is known.</summary>
/// <param name="Finding">Without gain; its text tells what there is, the gain's sentence follows.</param>
/// <param name="Edits">Ways to mend it, of which the best counts; empty for none.</param>
internal sealed record Draft(Finding Finding, IReadOnlyList<EditDraft> Edits)
{
    /// <summary>The net rules forbid the edits: they are tried, named and not suggested.</summary>
    public bool IsForbidden { get; init; }

    /// <summary>Share of what it does that the grid of trials shows, above 0 to 1: what a trial gains is divided by it.</summary>
    public double ShownByTrials { get; init; } = 1;

    /// <summary>K; with less the finding is none. 0: it stands by itself.</summary>
    public double LeastGain { get; init; }

    /// <summary>Least gain as a share of the rise of the hottest part.</summary>
    public double LeastShare { get; init; }

    /// <summary>Of a cut by the clearances of vias, where others would leave copper between them; no edit, for vias are only added by edits.</summary>
    public TighterClearances? Tighter { get; init; }

    /// <summary>Without a gain above the part's grid error the finding is none.</summary>
    public bool NeedsClaim { get; init; }
}
