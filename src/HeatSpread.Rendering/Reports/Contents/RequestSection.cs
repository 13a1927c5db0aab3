namespace HeatSpread.Rendering.Reports;

/// <summary>What was asked, of which board, and lines for those who ask and review: the service does not know them.</summary>
internal static class RequestSection
{
    public static ReportSection Of(ReportSubject subject)
    {
        var board = subject.Board;
        return new("What was asked", [
            new Paragraph("The steady temperatures of the board below, under the conditions of this report, against the limits given; why it is as hot as it is, and what would cool it."
                + (subject.Comparison is null ? "" : " And what changed against another revision.")),
            new FactList([
                new("Board", board.Name),
                new("Revision", board.Revision.Length > 0 ? board.Revision : "none given"),
                new("Solved", ReportText.Time(subject.Solved)),
            ]),
            new WritingLines(["Asked for by", "Reviewed by", "Date", "Signature"]),
        ]);
    }
}
