using System.Text.Json;
using HeatSpread.Rendering.Reports;
using HeatSpread.Service.Analysis;
using HeatSpread.Service.Comparisons;
using HeatSpread.Service.Problems;
using HeatSpread.Service.Solutions;

namespace HeatSpread.Service.Reports;

/// <summary>Gathers what a report is about from what is stored: nothing is computed again, so that it stays the same.</summary>
internal sealed class ReportDesk(SolutionStore solutions, ComparisonStore comparisons, AnalysisGate gate)
{
    /// <summary>Whether a solution is a candidate of a comparison.</summary>
    public bool Compares(string comparison, string solution) => comparisons.Compares(comparison, solution);

    /// <summary>Writes a report as soon as there is a place for the work: it draws every map.</summary>
    /// <param name="id">Of the solution.</param>
    /// <param name="query">How it is asked for.</param>
    /// <param name="write">Makes the bytes.</param>
    /// <param name="cancellationToken">Gives up waiting.</param>
    /// <exception cref="BusyException">Too many wait already.</exception>
    public async Task<byte[]> Write(string id, ReportQuery query, Func<ReportSubject, PaperSize, byte[]> write, CancellationToken cancellationToken)
    {
        using var place = await gate.Enter(cancellationToken);
        if (place is null) throw new BusyException("Too many reports and analyses are being made; try again later.");
        return write(Subject(id, query.Comparison), query.Paper);
    }

    private ReportSubject Subject(string id, string? comparison)
    {
        if (solutions.Answer(id) is not { } json || solutions.Case(id) is not { } solution || solutions.Open(id) is not { } solved || solutions.Created(id) is not { } created)
            throw new BusyException("The solution was removed while its report was being made; ask again.");
        var answer = JsonSerializer.Deserialize(json, ServiceJson.Written.SolutionAnswer)!;
        return new()
        {
            Board = solved.Board,
            Conditions = solution.Conditions,
            Raster = solved.Raster,
            Solution = SolutionReading.Read(answer, solution.Layout, solution.Conditions, solved),
            Converter = SolutionReading.Converter(answer, solved.Board),
            RowMaterials = Reports.RowMaterials.Of(solution.Layout.Canonical),
            ImportWarnings = solutions.ImportWarnings(id),
            SolutionId = id,
            LayoutId = answer.Layout,
            Solved = created,
            Comparison = comparison is null ? null : ComparisonReading.Read(comparisons, comparison, id),
        };
    }
}
