namespace HeatSpread.Rendering.Reports;

/// <summary>From a solved board to what its report says, section by section.</summary>
internal static class ReportContents
{
    public static ReportDocument Of(ReportSubject subject) => new()
    {
        Title = "Thermal report",
        Subject = ScalarMap.Source(subject.Board),
        Date = subject.Solved,
        Reference = ReportText.Short(subject.SolutionId),
        Sections =
        [
            ResultSection.Of(subject),
            RequestSection.Of(subject),
            BoardSection.Of(subject),
            ConditionsSection.Of(subject),
            TemperatureSection.Of(subject),
            HeatSection.Of(subject),
            MapSection.Of(subject),
            FindingSection.Of(subject),
            EditSection.Of(subject),
            .. subject.Comparison is { } comparison ? [ComparisonSection.Of(subject, comparison)] : Array.Empty<ReportSection>(),
            AccuracySection.Of(subject),
            MethodSection.Of(subject),
            WarningSection.Of(subject),
            CautionSection.Of(),
            IdentitySection.Of(subject),
        ],
    };
}
