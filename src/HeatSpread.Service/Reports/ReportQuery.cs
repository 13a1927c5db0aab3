using HeatSpread.Boards;
using HeatSpread.Rendering.Reports;

namespace HeatSpread.Service.Reports;

/// <summary>How a report is asked for.</summary>
/// <param name="Paper">Of its pages.</param>
/// <param name="Comparison">Id of the comparison that it tells of; null: none.</param>
internal sealed record ReportQuery(PaperSize Paper, string? Comparison)
{
    private static readonly string[] Papers = ["a4", "letter"];

    /// <param name="query">Of the request.</param>
    /// <param name="isCompared">Whether the solution is a candidate of a comparison of that id.</param>
    public static Reading<ReportQuery> Read(IQueryCollection query, Func<string, bool> isCompared)
    {
        var reader = new QueryReader(query);
        var paper = reader.Choice("paper", Papers) == "letter" ? PaperSize.Letter : PaperSize.A4;
        string? comparison = reader.Text("comparison");
        if (comparison is not null && !isCompared(comparison)) reader.Fault("comparison", "must be the id of a comparison that has this solution among its candidates (`POST /v1/comparisons` makes one)", comparison);
        return reader.Finish(new ReportQuery(paper, comparison));
    }
}
