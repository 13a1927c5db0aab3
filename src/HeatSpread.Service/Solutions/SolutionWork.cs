using HeatSpread.Insight;
using HeatSpread.Service.Jobs;
using HeatSpread.Service.Operations;
using HeatSpread.Service.Problems;
using HeatSpread.Service.Tenants;
using HeatSpread.Thermal;
using Microsoft.Extensions.Options;

namespace HeatSpread.Service.Solutions;

/// <summary>The kind of work that solves a board.</summary>
internal sealed class SolutionWork(SolveCapacity capacity, IOptions<ServiceSettings> settings, ServiceMetrics metrics, ILogger<SolutionWork> logger) : IWorkKind
{
    public const string KindName = "solution";

    public string Name => KindName;

    public (Work? Work, Problem? Problem) Read(ReadOnlyMemory<byte> document, Workspace workspace) => new SolutionRequestReader(workspace.Layouts, settings).Read(document);

    public bool IsDone(string id, Workspace workspace) => workspace.Solutions.Contains(id);

    public void Do(Work work, Workspace workspace, SolveTrace trace, CancellationToken cancellationToken)
    {
        var request = (SolutionRequest)work;
        var solution = BoardAnalysis.Analyse(request.Layout.Board, request.Conditions, request.Grid, request.SuggestedEdits ?? BoardAnalysis.UsualChecks, capacity, trace, cancellationToken);
        trace.Begin("store");
        workspace.Solutions.Keep(request, solution, workspace.Layouts.ImportWarnings(request.Layout.Id));
        metrics.Solved(solution);
        logger.Solved(request.Id, solution.Accuracy.Unknowns, solution.Accuracy.Iterations, solution.Seconds.Total);
    }
}
