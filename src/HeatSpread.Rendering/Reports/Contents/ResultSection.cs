using HeatSpread.Insight;

namespace HeatSpread.Rendering.Reports;

/// <summary>The verdict, its reasons, and the few numbers that a reader looks for first.</summary>
internal static class ResultSection
{
    public static ReportSection Of(ReportSubject subject)
    {
        var verdict = subject.Solution.Verdict;
        int limits = subject.Solution.Parts.Count(part => part.LimitCelsius is not null) + (subject.Conditions.BoardLimitCelsius is null ? 0 : 1);
        string words = !verdict.Pass ? $"FAIL: {Count(verdict.Reasons.Count, "limit is", "limits are")} exceeded"
            : limits == 0 ? "PASS, but no limit was given: nothing was judged"
            : $"PASS: {(limits == 1 ? "the one limit given is" : $"all {limits} limits given are")} kept";
        string[] reasons = [.. verdict.Reasons, .. Undecided(subject)];
        return new("Result", [new VerdictBox(verdict.Pass, words, reasons), new FactList([.. Facts(subject)])]);
    }

    /// <summary>Margins that the grid's error could turn.</summary>
    public static IEnumerable<string> Undecided(ReportSubject subject)
    {
        foreach (var part in subject.Solution.Parts)
        {
            if (part.MarginKelvin is { } margin && part.GridErrorKelvin is { } error && Math.Abs(margin) <= error)
                yield return $"{part.Id}: the margin of {ReportText.Kelvin(margin)} K is no larger than the bound on the grid's error ({ReportText.Error(error)} K). A finer grid must decide.";
        }
        var peak = subject.Solution.Peak;
        if (subject.Conditions.BoardLimitCelsius is { } limit && peak.GridErrorKelvin is { } bound && Math.Abs(limit - peak.Celsius) <= bound)
            yield return $"Board: the margin of {ReportText.Kelvin(limit - peak.Celsius)} K is no larger than the bound on the grid's error ({ReportText.Error(bound)} K). A finer grid must decide.";
    }

    private static IEnumerable<Fact> Facts(ReportSubject subject)
    {
        var solution = subject.Solution;
        if (solution.Parts.Count > 0 && solution.Parts.MaxBy(part => part.MaxCelsius) is { } hottest)
            yield return new("Hottest part", $"{hottest.Id}, {ReportText.Kelvin(hottest.MaxCelsius)} °C{(hottest.GridErrorKelvin is { } e ? $" ± {ReportText.Error(e)} K" : "")}");
        if (solution.Parts.Where(part => part.MarginKelvin is not null).MinBy(part => part.MarginKelvin) is { } tightest)
            yield return new("Least margin", $"{tightest.Id}, {ReportText.Kelvin(Math.Abs(tightest.MarginKelvin!.Value))} K {(tightest.MarginKelvin < 0 ? "above" : "below")} its limit of {ReportText.Given(tightest.LimitCelsius!.Value)} °C");
        yield return new("Hottest place of the board", Peak(solution.Peak));
        yield return new("Heat made", $"{ReportText.Watts(solution.Field.Heat.DissipatedWatts)} W at {ReportText.Given(subject.Conditions.AmbientCelsius)} °C ambient");
        yield return new("Bound on the grid's error", $"± {ReportText.Error(solution.Accuracy.GridErrorKelvin)} K");
        yield return new("Findings", Findings(solution));
        int warnings = WarningSection.Warnings(subject).Count();
        yield return new("Warnings", warnings == 0 ? "none" : $"{Count(warnings, "warning", "warnings")}, in the section of that name: a number that one is about is no basis for a verdict");
        if (subject.Comparison is { } comparison)
            yield return new("Against the baseline", $"{ScalarMap.Source(comparison.Baseline)}: the hottest place changes by {ReportText.Signed(comparison.Comparison.PeakDeltaKelvin)} K");
    }

    private static string Peak(Place peak) => $"{ReportText.Kelvin(peak.Celsius)} °C on {peak.RowName} at {ReportText.At(peak.At)} mm{(peak.Net is null ? "" : $", net {peak.Net}")}";

    private static string Findings(BoardSolution solution)
    {
        if (solution.Findings.Count == 0) return "none";
        var gains = solution.Findings.Where(finding => finding.GainKelvin is not null).ToList();
        string most = gains.Count == 0 ? "none has a gain above the grid's error" : $"the largest gain is {ReportText.Kelvin(gains.Max(finding => finding.GainKelvin))} K";
        return $"{solution.Findings.Count}; {most}";
    }

    public static string Count(int count, string one, string more) => count == 1 ? $"1 {one}" : $"{count} {more}";
}
