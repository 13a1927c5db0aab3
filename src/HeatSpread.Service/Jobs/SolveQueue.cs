using HeatSpread.Service.Operations;
using HeatSpread.Service.Problems;
using HeatSpread.Service.Solutions;
using HeatSpread.Service.Tenants;
using Microsoft.Extensions.Options;

namespace HeatSpread.Service.Jobs;

/// <summary>
/// The solves that wait and run. They run on threads of their own, a bounded number, so that request threads stay free; a job that nobody waits
/// for any more is cancelled, unless a client was promised an answer.
/// </summary>
internal sealed class SolveQueue(SolveRun run, IOptions<ServiceSettings> settings, ServiceMetrics metrics, TimeProvider clock, ILogger<SolveQueue> logger) : IHostedService, IDisposable
{
    private const int RememberedEnds = 1000;

    private readonly Lock _gate = new();
    private readonly Dictionary<(string Tenant, string Id), SolveJob> _jobs = [];
    private readonly WaitingLine _waiting = new();
    private readonly Dictionary<(string Tenant, string Id), SolutionProgress> _ends = [];
    private readonly Queue<(string Tenant, string Id)> _endOrder = new();
    private readonly CancellationTokenSource _stopping = new();
    private readonly List<Thread> _workers = [];
    private readonly SemaphoreSlim _anySignal = new(0), _smallSignal = new(0);
    private double _usualSeconds = 1;
    private bool _isDisposed;

    public int Waiting
    {
        get
        {
            lock (_gate) return _waiting.Count;
        }
    }

    public Task StartAsync(CancellationToken cancellationToken)
    {
        metrics.ObserveQueue(() => Waiting);
        for (int i = 0; i < settings.Value.ConcurrentSolves; i++) StartWorker($"solve {i}", _anySignal, double.PositiveInfinity);
        if (settings.Value.SmallSolveSeconds > 0) StartWorker("solve small", _smallSignal, settings.Value.SmallSolveSeconds);
        return Task.CompletedTask;
    }

    public Task StopAsync(CancellationToken cancellationToken)
    {
        lock (_gate)
        {
            if (_isDisposed) return Task.CompletedTask; // a host may be stopped by two at once, and the other was done first
            _stopping.Cancel();
        }

        return Task.Run(
            () =>
            {
                _workers.ForEach(w => w.Join());
                lock (_gate)
                {
                    foreach (var job in _jobs.Values.ToArray()) EndHeld(job, SolveRun.CancelledProblem); // whoever waits is told; what was promised is on the disk
                }
            },
            cancellationToken);
    }

    /// <summary>Takes part in the job for a request, which is begun if there is none.</summary>
    /// <returns>Null where as many jobs of the tenant wait as may.</returns>
    public SolveJob? Join(SolutionRequest request, Workspace workspace) => Join(request, workspace, isAccepted: false);

    /// <summary>Takes up a request again that an earlier process accepted.</summary>
    public void Resume(SolutionRequest request, Workspace workspace) => Join(request, workspace, isAccepted: true);

    /// <summary>Stops waiting for a job; the last to go cancels it.</summary>
    public void Leave(SolveJob job)
    {
        lock (_gate)
        {
            if (--job.Interest == 0 && !job.Completion.IsCompleted) CancelHeld(job);
        }
    }

    /// <summary>Writes down that the job's solution was promised, so that it is kept whatever happens to this process.</summary>
    /// <returns>False where the job has ended meanwhile: the answer is there.</returns>
    public bool Accept(SolveJob job)
    {
        job.Workspace.Accepted.Add(job.Request);
        bool hasEnded, isRunning;
        lock (_gate)
        {
            hasEnded = job.Completion.IsCompleted;
            isRunning = job.State == SolutionState.Running;
            job.IsAccepted = !hasEnded;
        }
        if (hasEnded) job.Workspace.Accepted.Remove(job.Request.Id);
        else if (isRunning) job.Workspace.Accepted.Begin(job.Request.Id); // else whoever takes it up says so
        return !hasEnded;
    }

    /// <summary>The job that waits or runs for a solution; null for none.</summary>
    public SolveJob? Find(string id, Workspace workspace)
    {
        lock (_gate) return _jobs.GetValueOrDefault((workspace.Tenant, id));
    }

    /// <summary>Where a solution stands that is not solved; null where nothing is known of it.</summary>
    public SolutionProgress? Progress(string id, Workspace workspace)
    {
        lock (_gate)
        {
            var key = (workspace.Tenant, id);
            if (_jobs.TryGetValue(key, out var job)) return job.Progress;
            if (_ends.TryGetValue(key, out var end)) return end;
        }
        return workspace.Accepted.Contains(id) ? new(id, null, SolutionState.Queued, null, null) : workspace.Accepted.Ended(id);
    }

    /// <summary>A tenant's jobs that wait and run.</summary>
    public IReadOnlyList<SolveJob> Jobs(Workspace workspace)
    {
        lock (_gate) return [.. _jobs.Values.Where(job => job.Workspace == workspace)];
    }

    /// <summary>Cancels a job, or forgets how one ended.</summary>
    /// <returns>False where nothing is known of it.</returns>
    public bool Cancel(string id, Workspace workspace)
    {
        SolveJob? job;
        bool forgotten;
        lock (_gate)
        {
            forgotten = _ends.Remove((workspace.Tenant, id));
            if (_jobs.TryGetValue((workspace.Tenant, id), out job))
            {
                job.IsAccepted = false;
                CancelHeld(job);
            }
        }
        bool promised = workspace.Accepted.Contains(id);
        // On the disk before the client hears of it, so that it is not solved after a restart. Ended ones are no longer accepted.
        if (promised) workspace.Accepted.End(new(id, job?.Request.Layout.Id, SolutionState.Cancelled, null, SolveRun.CancelledProblem.ToBody()));
        return promised || job is not null || workspace.Accepted.Forget(id) || forgotten;
    }

    /// <summary>Seconds after which a place in the line may be free.</summary>
    public int SecondsToRetry
    {
        get
        {
            lock (_gate) return (int)Math.Clamp(Math.Ceiling(_usualSeconds), 1, 600);
        }
    }

    public void Dispose()
    {
        lock (_gate)
        {
            _isDisposed = true;
            _stopping.Dispose();
            _anySignal.Dispose();
            _smallSignal.Dispose();
        }
    }

    private SolveJob? Join(SolutionRequest request, Workspace workspace, bool isAccepted)
    {
        lock (_gate)
        {
            var key = (workspace.Tenant, request.Id);
            if (isAccepted && !workspace.Accepted.Contains(request.Id)) return null; // cancelled meanwhile
            if (!_jobs.TryGetValue(key, out var job) || job.Cancellation.IsCancellationRequested)
            {
                if (!isAccepted && _waiting.CountOf(workspace.Tenant) >= settings.Value.QueueLength) return null;
                job = new SolveJob(request, workspace);
                _jobs[key] = job;
                _ends.Remove(key);
                job.Queue();
                _waiting.Add(job, clock.GetTimestamp() / (double)clock.TimestampFrequency);
                _anySignal.Release();
                if (job.ExpectedSeconds <= settings.Value.SmallSolveSeconds) _smallSignal.Release();
            }
            job.IsAccepted |= isAccepted;
            job.Interest++;
            return job;
        }
    }

    private void CancelHeld(SolveJob job)
    {
        job.Cancel();
        if (_waiting.Remove(job)) EndHeld(job, SolveRun.CancelledProblem);
    }

    private void StartWorker(string name, SemaphoreSlim signal, double longestSeconds)
    {
        var worker = new Thread(() => Work(signal, longestSeconds)) { IsBackground = true, Name = name };
        worker.Start();
        _workers.Add(worker);
    }

    private void Work(SemaphoreSlim signal, double longestSeconds)
    {
        WorkerPriority.Lower();
        try
        {
            while (true)
            {
                signal.Wait(_stopping.Token);
                if (Take(longestSeconds, out bool isAccepted) is not { } job) continue; // cancelled while it waited, or taken by another worker
                if (isAccepted) WriteDown(job, accepted => accepted.Begin(job.Request.Id));
                long start = clock.GetTimestamp();
                var problem = run.Run(job, _stopping.Token);
                End(job, problem, clock.GetElapsedTime(start).TotalSeconds);
            }
        }
        catch (OperationCanceledException) when (_stopping.IsCancellationRequested)
        {
            // the service stops
        }
    }

    private SolveJob? Take(double longestSeconds, out bool isAccepted)
    {
        lock (_gate)
        {
            var job = _waiting.Take(longestSeconds);
            isAccepted = job?.IsAccepted ?? false;
            job?.Start();
            return job;
        }
    }

    private void End(SolveJob job, Problem? problem, double seconds)
    {
        bool isGivenUp = _stopping.IsCancellationRequested && problem?.Kind == ProblemKind.Cancelled; // what was promised waits for the next start
        bool wasAccepted;
        lock (_gate)
        {
            EndHeld(job, problem);
            wasAccepted = job.IsAccepted;
            const double weightOfLast = 0.2;
            _usualSeconds += weightOfLast * (seconds - _usualSeconds);
        }
        if (!wasAccepted || isGivenUp || problem?.Kind == ProblemKind.StorageFull) return; // solved again at the next start
        WriteDown(job, accepted =>
        {
            if (problem is null) accepted.Remove(job.Request.Id);
            else accepted.End(job.Progress with { Problem = problem.ToBody() });
        });
    }

    // A disk that fails must not end the worker: at worst the job is solved once more after a restart.
    private void WriteDown(SolveJob job, Action<AcceptedStore> write)
    {
        try
        {
            write(job.Workspace.Accepted);
        }
        catch (Exception fault) when (fault is IOException or UnauthorizedAccessException)
        {
            logger.EndNotKept(job.Request.Id, fault);
        }
    }

    private void EndHeld(SolveJob job, Problem? problem)
    {
        if (_jobs.GetValueOrDefault(job.Key) == job) _jobs.Remove(job.Key);
        job.Finish(problem);
        if (problem is null) return;
        _ends[job.Key] = job.Progress with { Problem = problem.ToBody() };
        _endOrder.Enqueue(job.Key);
        if (_endOrder.Count > RememberedEnds) _ends.Remove(_endOrder.Dequeue());
    }
}
