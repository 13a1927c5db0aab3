using HeatSpread.Insight;
using HeatSpread.Service.Operations;
using HeatSpread.Service.Problems;
using Microsoft.Extensions.Options;

namespace HeatSpread.Service.Solutions;

/// <summary>Does one job: solves the board and keeps the solution.</summary>
internal sealed class SolveRun(SolutionStore store, IOptions<ServiceSettings> settings, ExceptionProblems problems, ServiceMetrics metrics, ILogger<SolveRun> logger)
{
    public static Problem CancelledProblem { get; } = new(ProblemKind.Cancelled, "The solve was cancelled before it was done.");

    /// <returns>Null when the solution is stored, else the problem. It does not throw: an exception here would end the worker.</returns>
    public Problem? Run(SolveJob job, CancellationToken stopping)
    {
        using var either = CancellationTokenSource.CreateLinkedTokenSource(job.Cancellation, stopping);
        try
        {
            var request = job.Request;
            var solution = BoardAnalysis.Analyse(request.Layout.Board, request.Conditions, request.Grid, settings.Value.ThreadsPerSolve, job, either.Token);
            store.Keep(request, solution);
            metrics.Solved(solution);
            logger.Solved(request.Id, solution.Accuracy.Unknowns, solution.Accuracy.Iterations, solution.Seconds.Total);
            return null;
        }
        catch (OperationCanceledException) when (either.IsCancellationRequested)
        {
            metrics.Ended("cancelled");
            return CancelledProblem;
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
