using HeatSpread.Service.Operations;
using HeatSpread.Service.Problems;
using HeatSpread.Service.Solutions;
using HeatSpread.Service.Tenants;

namespace HeatSpread.Service.Jobs;

/// <summary>Has work done for a request that may wait for it or come back.</summary>
internal sealed class WorkDesk(IWorkQueue queue, ServiceMetrics metrics)
{
    /// <param name="work">What is to be done.</param>
    /// <param name="workspace">Whose it is.</param>
    /// <param name="wait">How long to wait for it; null: until it is done.</param>
    /// <param name="joined">What is to be kept of work that is not refused; what is refused leaves nothing.</param>
    /// <param name="cancellationToken">Gives up waiting; work that nobody else waits for ends with it.</param>
    /// <returns>A problem; or where it stands, when the client is to come back; or neither, when its result is stored.</returns>
    public async Task<(Problem? Problem, SolutionProgress? Progress)> Ask(Work work, Workspace workspace, TimeSpan? wait, Action joined, CancellationToken cancellationToken)
    {
        if (await queue.Join(work, workspace, cancellationToken) is not { } job)
        {
            metrics.Refused();
            return (new Problem(ProblemKind.Busy, "The queue of solves is full; try again later.") { RetryAfterSeconds = queue.SecondsToRetry() }, null);
        }
        bool comesBack = false;
        try
        {
            joined();
            // A client that is told to come back is promised an answer: the promise is on the disk before the client hears it, and the job's interest stays.
            comesBack = !await EndsWithin(wait ?? Timeout.InfiniteTimeSpan, job, cancellationToken) && await queue.Promise(job, cancellationToken);
            return comesBack ? (null, job.Progress) : (await job.Completion, null);
        }
        finally
        {
            if (!comesBack) queue.Leave(job);
        }
    }

    private static async Task<bool> EndsWithin(TimeSpan wait, SolveJob job, CancellationToken cancellationToken)
    {
        try
        {
            await job.Completion.WaitAsync(wait, cancellationToken);
            return true;
        }
        catch (TimeoutException)
        {
            return false;
        }
    }
}
