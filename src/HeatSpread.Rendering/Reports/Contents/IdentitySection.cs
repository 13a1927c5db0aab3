namespace HeatSpread.Rendering.Reports;

/// <summary>What exactly this report is about, for a reader who wants to find or repeat it.</summary>
internal static class IdentitySection
{
    public static ReportSection Of(ReportSubject subject)
    {
        var facts = new List<Fact>
        {
            new("Solution", subject.SolutionId),
            new("Layout", subject.LayoutId),
            new("Solved", ReportText.Time(subject.Solved)),
        };
        if (subject.Comparison is { } comparison) facts.AddRange([new("Comparison", comparison.Id), new("Baseline's solution", comparison.BaselineId)]);
        return new("Identification", [
            new FactList(facts),
            new Paragraph("The digests are of the content: the same layout under the same conditions on the same grid has the same digest. This report is written from what is stored under them, and says nothing of the time of writing: written again, it is the same file.") { IsNote = true },
        ]);
    }
}
