using System.Globalization;
using HeatSpread.Insight;
using HeatSpread.Service.Operations;
using HeatSpread.Service.Problems;
using HeatSpread.Thermal;
using Microsoft.Extensions.Options;

namespace HeatSpread.Service.Jobs;

/// <summary>Does one job: solves the board and keeps the solution.</summary>
internal sealed class SolveRun(SolveCapacity capacity, IOptions<ServiceSettings> settings, ExceptionProblems problems, ServiceMetrics metrics, ServiceTraces traces, TimeProvider clock, ILogger<SolveRun> logger)
{
    public static Problem CancelledProblem { get; } = new(ProblemKind.Cancelled, "The solve was cancelled before it was done.");

    /// <returns>Null when the solution is stored, else the problem. It does not throw: an exception here would end the worker.</returns>
    public Problem? Run(SolveJob job, CancellationToken stopping)
    {
        using var tooLong = new CancellationTokenSource(TimeSpan.FromSeconds(settings.Value.SolveTimeoutSeconds), clock);
        using var any = CancellationTokenSource.CreateLinkedTokenSource(job.Cancellation, stopping, tooLong.Token);
        using var trace = traces.Solve(job);
        try
        {
            var request = job.Request;
            var solution = BoardAnalysis.Analyse(request.Layout.Board, request.Conditions, request.Grid, request.SuggestedEdits ?? BoardAnalysis.UsualChecks, capacity, trace, any.Token);
            trace.Begin("store");
            job.Workspace.Solutions.Keep(request, solution);
            metrics.Solved(solution);
            logger.Solved(request.Id, solution.Accuracy.Unknowns, solution.Accuracy.Iterations, solution.Seconds.Total);
            return null;
        }
        catch (OperationCanceledException) when (job.Cancellation.IsCancellationRequested || stopping.IsCancellationRequested)
        {
            metrics.Ended("cancelled");
            return CancelledProblem;
        }
        catch (OperationCanceledException) when (tooLong.IsCancellationRequested)
        {
            metrics.Ended(ProblemKind.SolveTooLong.Name);
            return new Problem(ProblemKind.SolveTooLong, string.Create(
                CultureInfo.InvariantCulture, $"A solve may take at most {settings.Value.SolveTimeoutSeconds} s (setting {ServiceSettings.Section}:{nameof(ServiceSettings.SolveTimeoutSeconds)}); a coarser grid is solved sooner."));
        }
        catch (Exception fault)
        {
            var problem = problems.Of(fault);
            metrics.Ended(problem.Kind.Name);
            if (problem.Kind.Status >= 500) logger.SolveFailed(job.Request.Id, fault);
            return problem;
        }
    }
}
