namespace HeatSpread.Service.Studies;

/// <summary>Some results of a study that is not done, as they are kept: a study that is taken up again goes on from them, and whoever asks sees them.</summary>
/// <param name="Accuracy">Of the base; null in all but the first.</param>
/// <param name="Points">Of a sweep or sample.</param>
/// <param name="Derating">Of a derating.</param>
/// <param name="Trials">Of a plan.</param>
internal sealed record StudyPart(StudyAccuracy? Accuracy, IReadOnlyList<StudyPointAnswer> Points, IReadOnlyList<DeratedAmbient> Derating, IReadOnlyList<TrialAnswer> Trials)
{
    public static StudyPart Empty { get; } = new(null, [], [], []);

    /// <summary>Results in all.</summary>
    public int Count => Points.Count + Derating.Count + Trials.Count;

    /// <summary>All of some parts, each result once, in order.</summary>
    public static StudyPart Join(IEnumerable<StudyPart> parts)
    {
        var all = parts.ToList();
        return new(
            all.Select(part => part.Accuracy).FirstOrDefault(accuracy => accuracy is not null),
            [.. all.SelectMany(part => part.Points).DistinctBy(point => point.Index).OrderBy(point => point.Index)],
            [.. all.SelectMany(part => part.Derating).DistinctBy(point => (point.Curve, point.Ambient)).OrderBy(point => (point.Curve, point.Ambient))],
            [.. all.SelectMany(part => part.Trials).DistinctBy(trial => trial.Value).OrderBy(trial => trial.Value)]);
    }
}

/// <param name="Curve">Index.</param>
/// <param name="Ambient">Index.</param>
/// <param name="RunawayAbove">Value above which heat runs away; null where that was not met.</param>
/// <param name="Point">What is allowed.</param>
internal sealed record DeratedAmbient(int Curve, int Ambient, double? RunawayAbove, DeratingPointAnswer Point);

/// <param name="Study">Id.</param>
internal sealed record StudyPartLabels(string Study);
