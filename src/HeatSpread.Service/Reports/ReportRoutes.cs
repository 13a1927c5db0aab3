using HeatSpread.Rendering.Reports;
using HeatSpread.Service.OpenApi;
using HeatSpread.Service.Problems;
using HeatSpread.Service.Solutions;

namespace HeatSpread.Service.Reports;

/// <summary>What a thermal reviewer files of a solution.</summary>
internal static class ReportRoutes
{
    public static void MapReports(this IEndpointRouteBuilder routes)
    {
        var group = routes.MapGroup("/v1/solutions/{id}").WithTags("Solutions");
        group.MapGet("report.html", Page).WithName("readReport").WithSummary("The report as one page that asks for nothing else").WithMetadata(QueryOf.Report).ProducesBytes("text/html").ProducesProblems(400, 404, 429, 500);
        group.MapGet("report.pdf", File).WithName("printReport").WithSummary("The report as a PDF").WithMetadata(QueryOf.Report).ProducesBytes("application/pdf").ProducesProblems(400, 404, 429, 500);
    }

    /// <param name="id">Of the solution.</param>
    /// <param name="comparison">Id of a comparison that has the solution among its candidates; null: none.</param>
    public static ReportLinks Links(string id, string? comparison = null)
    {
        string query = comparison is null ? "" : $"?comparison={comparison}";
        return new($"/v1/solutions/{id}/report.html{query}", $"/v1/solutions/{id}/report.pdf{query}");
    }

    private static IResult Page(string id, HttpContext context, SolutionStore store, ReportDesk desk, CancellationToken cancellationToken)
    {
        var result = Report(id, "html", "text/html; charset=utf-8", context, store, desk, ThermalReport.Html, cancellationToken);
        if (result is Immutable) context.Response.Headers.ContentSecurityPolicy = ThermalReport.HtmlPolicy;
        return result;
    }

    private static IResult File(string id, HttpContext context, SolutionStore store, ReportDesk desk, CancellationToken cancellationToken) =>
        Report(id, "pdf", "application/pdf", context, store, desk, ThermalReport.Pdf, cancellationToken);

    private static IResult Report(
        string id, string form, string contentType, HttpContext context, SolutionStore store, ReportDesk desk, Func<ReportSubject, PaperSize, byte[]> write, CancellationToken cancellationToken)
    {
        if (store.Created(id) is not { } created) return SolutionRoutes.Missing(id);
        var query = ReportQuery.Read(context.Request.Query, comparison => desk.Compares(comparison, id));
        if (query.Value is not { } asked) return Problem.Of(ProblemKind.InvalidQuery, query.Faults);
        // A solution that is removed and solved again has another date under the same address: the client keeps the bytes, but asks.
        string tag = $"{id}-report-{form}-{asked.Paper}-{asked.Comparison}-{created.UtcTicks}-{Builds.Reports}";
        return new Immutable(tag, contentType, () => desk.Write(id, asked, write, cancellationToken)) { AskEachTime = true };
    }
}
