using HeatSpread.Service.Operations;
using HeatSpread.Service.Problems;
using HeatSpread.Service.Solutions;
using HeatSpread.Service.Tenants;
using Microsoft.Extensions.Options;

namespace HeatSpread.Service.Jobs.Embedded;

/// <summary>
/// The queue of one process. Work waits in memory; what a client was promised an answer to is in the journal on the disk as well. A job that nobody waits for any more is cancelled,
/// unless a client was promised an answer.
/// </summary>
internal sealed class EmbeddedQueue : IWorkQueue, IHostedService, IDisposable
{
    private readonly Lock _gate = new();
    private readonly Dictionary<(string Tenant, string Id), SolveJob> _jobs = [];
    private readonly WaitingLine _waiting = new();
    private readonly RememberedEnds _ends = new();
    private readonly SemaphoreSlim _anySignal = new(0), _smallSignal = new(0);
    private readonly Journals _journals;
    private readonly ServiceSettings _settings;
    private readonly TimeProvider _clock;
    private readonly ILogger _logger;
    private readonly RetryTimes _retries;
    private double _secondsBetweenEnds = 1;
    private long _lastEnd;

    public EmbeddedQueue(Journals journals, IOptions<ServiceSettings> settings, ServiceMetrics metrics, TimeProvider clock, ILogger<EmbeddedQueue> logger)
    {
        (_journals, _settings, _clock, _logger) = (journals, settings.Value, clock, logger);
        (_retries, _lastEnd) = (new(clock), clock.GetTimestamp());
        metrics.ObserveQueue(() => Waiting);
    }

    public int Waiting
    {
        get
        {
            lock (_gate) return _waiting.Count;
        }
    }

    public int SecondsToRetry()
    {
        lock (_gate) return _retries.Next(_secondsBetweenEnds, _settings.QueueLength);
    }

    public Task StartAsync(CancellationToken cancellationToken) => Task.CompletedTask;

    /// <summary>After the workers have stopped: whoever waits is told; what was promised is on the disk.</summary>
    public Task StopAsync(CancellationToken cancellationToken)
    {
        lock (_gate)
        {
            foreach (var job in _jobs.Values.ToArray()) EndHeld(job, SolveRun.CancelledProblem);
        }
        return Task.CompletedTask;
    }

    public Task<SolveJob?> Join(Work work, Workspace workspace, CancellationToken cancellationToken) => Task.FromResult(Join(work, workspace, isAccepted: false));

    /// <summary>Takes up work again that an earlier process accepted.</summary>
    public void Resume(Work work, Workspace workspace) => Join(work, workspace, isAccepted: true);

    /// <summary>Stops waiting for a job; the last to go cancels it.</summary>
    public void Leave(SolveJob job)
    {
        lock (_gate)
        {
            if (--job.Interest == 0 && !job.Completion.IsCompleted) CancelHeld(job);
        }
    }

    public Task<bool> Promise(SolveJob job, CancellationToken cancellationToken)
    {
        var journal = _journals.Of(job.Workspace);
        journal.Add(job.Work);
        bool hasEnded, isRunning;
        lock (_gate)
        {
            hasEnded = job.Completion.IsCompleted;
            isRunning = job.State == SolutionState.Running;
            job.IsAccepted = !hasEnded;
        }
        if (hasEnded) journal.Remove(job.Work.Id);
        else if (isRunning) journal.Begin(job.Work.Id); // else whoever takes it up says so
        return Task.FromResult(!hasEnded);
    }

    public Task<IAsyncEnumerable<WorkEvent>?> Follow(string kind, string id, Workspace workspace, string lastEventId, CancellationToken cancellationToken)
    {
        SolveJob? job;
        lock (_gate) job = Held(kind, id, workspace);
        return Task.FromResult(job?.Events.After(lastEventId, CancellationToken.None));
    }

    public Task<SolutionProgress?> Progress(string kind, string id, Workspace workspace, CancellationToken cancellationToken)
    {
        lock (_gate)
        {
            if (Held(kind, id, workspace) is { } job) return Task.FromResult<SolutionProgress?>(job.Progress);
            if (_ends.Find((workspace.Tenant, kind, id)) is { } end) return Task.FromResult<SolutionProgress?>(end);
        }
        var journal = _journals.Of(workspace);
        return Task.FromResult(journal.Contains(kind, id) ? new(id, null, SolutionState.Queued, null, null) : journal.Ended(kind, id));
    }

    public Task<IReadOnlyList<UnfinishedWork>> Unfinished(Workspace workspace, CancellationToken cancellationToken)
    {
        lock (_gate)
        {
            return Task.FromResult<IReadOnlyList<UnfinishedWork>>(
                [.. _jobs.Values.Where(job => job.Workspace == workspace).Select(job => new UnfinishedWork(job.Work.Id, job.Work.Kind, job.Work.Labels, job.State))]);
        }
    }

    public Task<bool> Cancel(string kind, string id, Workspace workspace, CancellationToken cancellationToken)
    {
        SolveJob? job;
        bool forgotten;
        lock (_gate)
        {
            forgotten = _ends.Remove((workspace.Tenant, kind, id));
            job = Held(kind, id, workspace);
            if (job is not null)
            {
                job.IsAccepted = false;
                CancelHeld(job);
            }
        }
        var journal = _journals.Of(workspace);
        bool promised = journal.Contains(kind, id);
        // On the disk before the client hears of it, so that it is not solved after a restart. Ended ones are no longer accepted.
        if (promised) journal.End(kind, new(id, job?.Work.Labels.Layout, SolutionState.Cancelled, null, SolveRun.CancelledProblem.ToBody()));
        return Task.FromResult(promised || job is not null || journal.Forget(kind, id) || forgotten);
    }

    public async Task<SolveJob> Take(double longestSeconds, CancellationToken cancellationToken)
    {
        var signal = double.IsPositiveInfinity(longestSeconds) ? _anySignal : _smallSignal;
        while (true)
        {
            await signal.WaitAsync(cancellationToken);
            bool isAccepted;
            SolveJob? job;
            lock (_gate)
            {
                job = _waiting.Take(longestSeconds);
                isAccepted = job?.IsAccepted ?? false;
                job?.Start();
            }
            if (job is null) continue; // cancelled while it waited, or taken by another worker
            if (isAccepted) WriteDown(job, journal => journal.Begin(job.Work.Id));
            return job;
        }
    }

    public Task Finish(SolveJob job, Problem? problem, double seconds)
    {
        bool wasAccepted;
        lock (_gate)
        {
            EndHeld(job, problem);
            wasAccepted = job.IsAccepted;
            const double weightOfLast = 0.1;
            double sinceLast = Math.Min(seconds, _clock.GetElapsedTime(_lastEnd).TotalSeconds); // no longer than the work itself: before it nothing may have waited
            _secondsBetweenEnds += weightOfLast * (sinceLast - _secondsBetweenEnds);
            _lastEnd = _clock.GetTimestamp();
        }
        if (wasAccepted)
        {
            WriteDown(job, journal =>
            {
                if (problem is null) journal.Remove(job.Work.Id);
                else journal.End(job.Work.Kind, job.Progress with { Problem = problem.ToBody() });
            });
        }
        return Task.CompletedTask;
    }

    /// <summary>What was promised is in the journal, for the next start.</summary>
    public Task GiveBack(SolveJob job, Problem problem)
    {
        lock (_gate) EndHeld(job, problem);
        return Task.CompletedTask;
    }

    public void Dispose()
    {
        _anySignal.Dispose();
        _smallSignal.Dispose();
    }

    private SolveJob? Join(Work work, Workspace workspace, bool isAccepted)
    {
        lock (_gate)
        {
            var key = (workspace.Tenant, work.Id);
            if (isAccepted && !_journals.Of(workspace).Contains(work.Kind, work.Id)) return null; // cancelled meanwhile
            if (!_jobs.TryGetValue(key, out var job) || job.Cancellation.IsCancellationRequested)
            {
                if (!isAccepted && _waiting.CountOf(workspace.Tenant) >= _settings.QueueLength) return null;
                job = new SolveJob(work, workspace);
                _jobs[key] = job;
                _ends.Remove((workspace.Tenant, work.Kind, work.Id));
                job.Queue();
                _waiting.Add(job, _clock.GetTimestamp() / (double)_clock.TimestampFrequency);
                _anySignal.Release();
                if (job.ExpectedSeconds <= _settings.SmallSolveSeconds) _smallSignal.Release();
            }
            job.IsAccepted |= isAccepted;
            job.Interest++;
            return job;
        }
    }

    private SolveJob? Held(string kind, string id, Workspace workspace) => _jobs.GetValueOrDefault((workspace.Tenant, id)) is { } job && job.Work.Kind == kind ? job : null;

    private void CancelHeld(SolveJob job)
    {
        job.Cancel();
        if (_waiting.Remove(job)) EndHeld(job, SolveRun.CancelledProblem);
    }

    // A disk that fails must not end the worker: at worst the job is solved once more after a restart.
    private void WriteDown(SolveJob job, Action<Journal> write)
    {
        try
        {
            write(_journals.Of(job.Workspace));
        }
        catch (Exception fault) when (fault is IOException or UnauthorizedAccessException)
        {
            _logger.EndNotKept(job.Work.Id, fault);
        }
    }

    private void EndHeld(SolveJob job, Problem? problem)
    {
        if (_jobs.GetValueOrDefault(job.Key) == job) _jobs.Remove(job.Key);
        job.Finish(problem);
        if (problem is not null) _ends.Add((job.Tenant, job.Work.Kind, job.Work.Id), job.Progress with { Problem = problem.ToBody() });
    }
}
