using HeatSpread.Service.Problems;
using HeatSpread.Service.Solutions;
using HeatSpread.Service.Tenants;

namespace HeatSpread.Service.Jobs;

/// <param name="Id">Of the event, for <c>Last-Event-ID</c>.</param>
/// <param name="Progress">Where the work stood then.</param>
internal readonly record struct WorkEvent(string Id, SolutionProgress Progress);

/// <param name="Id">Of the work.</param>
/// <param name="Kind">Of the work.</param>
/// <param name="Labels">What it is about.</param>
/// <param name="State">Waits or runs.</param>
internal sealed record UnfinishedWork(string Id, string Kind, WorkLabels Labels, SolutionState State);

/// <summary>
/// Where work waits, who has it and how far it is. The rest of the service does not know whether that is this process or many: those who ask put work in, follow it and may cancel
/// it, workers take it and finish it or give it back. <see cref="Embedded.EmbeddedQueue"/> is that of one process with a journal.
/// </summary>
internal interface IWorkQueue
{
    /// <summary>Work that waits, as far as this process knows.</summary>
    int Waiting { get; }

    /// <summary>Seconds after which there may be a place in the queue for one who was refused; those who are refused together are told different times.</summary>
    int SecondsToRetry();

    /// <summary>Takes part in the job for a piece of work, which is put into the queue if it is not there.</summary>
    /// <returns>Null where as many jobs of the tenant wait as may.</returns>
    /// <exception cref="QueueAwayException">The queue does not answer.</exception>
    Task<SolveJob?> Join(Work work, Workspace workspace, CancellationToken cancellationToken);

    /// <summary>From the return on the work is done whatever happens to this process.</summary>
    /// <returns>False where the job has ended meanwhile: the answer is there.</returns>
    /// <exception cref="QueueAwayException">The queue does not answer: nothing is promised.</exception>
    Task<bool> Promise(SolveJob job, CancellationToken cancellationToken);

    /// <summary>Stops waiting for a job that was joined. Work that nobody waits for any more, and nobody was promised, is cancelled.</summary>
    void Leave(SolveJob job);

    /// <summary>Where work stands that is not done; null where nothing is known of work of this kind and id.</summary>
    Task<SolutionProgress?> Progress(string kind, string id, Workspace workspace, CancellationToken cancellationToken);

    /// <summary>A tenant's work that waits and runs.</summary>
    Task<IReadOnlyList<UnfinishedWork>> Unfinished(Workspace workspace, CancellationToken cancellationToken);

    /// <summary>What happens to work that waits or runs, until it has ended.</summary>
    /// <param name="kind">Of the work.</param>
    /// <param name="id">Of the work.</param>
    /// <param name="workspace">Whose it is.</param>
    /// <param name="lastEventId">The last event that the reader has; empty for none. Of an unknown one everything is told again.</param>
    /// <param name="cancellationToken">Stops looking for the work.</param>
    /// <returns>Null where no such work waits or runs.</returns>
    Task<IAsyncEnumerable<WorkEvent>?> Follow(string kind, string id, Workspace workspace, string lastEventId, CancellationToken cancellationToken);

    /// <summary>Cancels work wherever it runs, or forgets how it ended.</summary>
    /// <returns>False where nothing is known of work of this kind and id.</returns>
    Task<bool> Cancel(string kind, string id, Workspace workspace, CancellationToken cancellationToken);

    /// <summary>Waits for the next piece of work for a worker of this process, which has it from then on.</summary>
    /// <param name="longestSeconds">Only what is expected to take no longer.</param>
    /// <param name="cancellationToken">Stops waiting.</param>
    Task<SolveJob> Take(double longestSeconds, CancellationToken cancellationToken);

    /// <summary>The work that was taken has ended; how is known to all before this returns, and remembered where it came to nothing.</summary>
    /// <param name="job">Taken.</param>
    /// <param name="problem">Null: its result is stored.</param>
    /// <param name="seconds">How long it took.</param>
    Task Finish(SolveJob job, Problem? problem, double seconds);

    /// <summary>The work that was taken is not done: what was promised another worker does, or this process when it starts again.</summary>
    /// <param name="job">Taken.</param>
    /// <param name="problem">What those are told who wait in this process.</param>
    Task GiveBack(SolveJob job, Problem problem);
}

/// <summary>The queue or the store does not answer. The message is for the user.</summary>
internal sealed class QueueAwayException(string message, Exception? inner = null) : Exception(message, inner);
