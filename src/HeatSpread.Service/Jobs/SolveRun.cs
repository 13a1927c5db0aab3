using System.Globalization;
using HeatSpread.Service.Operations;
using HeatSpread.Service.Problems;
using Microsoft.Extensions.Options;

namespace HeatSpread.Service.Jobs;

/// <summary>Does one job within the time that it may take.</summary>
internal sealed class SolveRun(WorkKinds kinds, IOptions<ServiceSettings> settings, ExceptionProblems problems, ServiceMetrics metrics, ServiceTraces traces, TimeProvider clock, ILogger<SolveRun> logger)
{
    public static Problem CancelledProblem { get; } = new(ProblemKind.Cancelled, "The solve was cancelled before it was done.");

    /// <summary>Of work that was begun again and again and never finished.</summary>
    public static Problem GaveUp(int attempts, ServiceSettings settings) => new(
        ProblemKind.GaveUp,
        $"This was begun {attempts} times and not finished, as the service ended or gave it up, so it is not tried again (setting {ServiceSettings.Section}:{nameof(settings.MaximumAttempts)}).");

    /// <returns>Null when the result is stored, else the problem. It does not throw: an exception here would end the worker.</returns>
    public Problem? Run(SolveJob job, CancellationToken stopping)
    {
        using var tooLong = new CancellationTokenSource(TimeSpan.FromSeconds(settings.Value.SolveTimeoutSeconds), clock);
        using var any = CancellationTokenSource.CreateLinkedTokenSource(job.Cancellation, stopping, tooLong.Token);
        using var trace = traces.Solve(job);
        try
        {
            kinds.Of(job.Work.Kind).Do(job.Work, job.Workspace, trace, any.Token);
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
            // Only who asks for it cancels work: a cancellation that nobody asked for is a fault like any other.
            var problem = fault is OperationCanceledException ? problems.Of(new InvalidOperationException(fault.Message, fault)) : problems.Of(fault);
            metrics.Ended(problem.Kind.Name);
            if (problem.Kind.Status >= 500) logger.SolveFailed(job.Work.Id, fault);
            return problem;
        }
    }
}
