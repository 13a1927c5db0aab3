using HeatSpread.Service.Operations;
using HeatSpread.Service.Problems;
using Microsoft.Extensions.Options;

namespace HeatSpread.Service.Solutions;

/// <summary>
/// The solves that wait and run. They run on threads of their own, a bounded number, so that request threads stay free; a job that nobody waits
/// for any more is cancelled.
/// </summary>
internal sealed class SolveQueue(SolveRun run, IOptions<ServiceSettings> settings, ServiceMetrics metrics) : IHostedService, IDisposable
{
    private const int RememberedEnds = 1000;

    private readonly Lock _gate = new();
    private readonly Dictionary<string, SolveJob> _jobs = new(StringComparer.Ordinal);
    private readonly LinkedList<SolveJob> _waiting = new();
    private readonly Dictionary<string, SolutionProgress> _ends = new(StringComparer.Ordinal);
    private readonly Queue<string> _endOrder = new();
    private readonly SemaphoreSlim _signal = new(0);
    private readonly CancellationTokenSource _stopping = new();
    private readonly List<Thread> _workers = [];

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
        for (int i = 0; i < settings.Value.ConcurrentSolves; i++)
        {
            var worker = new Thread(Work) { IsBackground = true, Name = $"solve {i}" };
            worker.Start();
            _workers.Add(worker);
        }
        return Task.CompletedTask;
    }

    public Task StopAsync(CancellationToken cancellationToken)
    {
        _stopping.Cancel();
        lock (_gate)
        {
            foreach (var job in _jobs.Values) job.Cancel();
        }
        return Task.Run(() => _workers.ForEach(w => w.Join()), cancellationToken);
    }

    /// <summary>Takes part in the job for a request, which is begun if there is none.</summary>
    /// <returns>Null where as many jobs wait as may.</returns>
    public SolveJob? Join(SolutionRequest request)
    {
        lock (_gate)
        {
            if (!_jobs.TryGetValue(request.Id, out var job) || job.Cancellation.IsCancellationRequested)
            {
                if (_waiting.Count >= settings.Value.QueueLength) return null;
                job = new SolveJob(request);
                _jobs[request.Id] = job;
                _ends.Remove(request.Id);
                _waiting.AddLast(job);
                _signal.Release();
            }
            job.Interest++;
            return job;
        }
    }

    /// <summary>Stops waiting for a job; the last to go cancels it.</summary>
    public void Leave(SolveJob job)
    {
        lock (_gate)
        {
            if (--job.Interest == 0 && !job.Completion.IsCompleted) CancelHeld(job);
        }
    }

    /// <summary>Where a solution stands that is not solved; null where nothing is known of it.</summary>
    public SolutionProgress? Progress(string id)
    {
        lock (_gate) return _jobs.TryGetValue(id, out var job) ? job.Progress : _ends.GetValueOrDefault(id);
    }

    /// <summary>Jobs that wait and run.</summary>
    public IReadOnlyList<SolveJob> Jobs
    {
        get
        {
            lock (_gate) return [.. _jobs.Values];
        }
    }

    /// <summary>Cancels a job, or forgets how one ended.</summary>
    /// <returns>False where nothing is known of it.</returns>
    public bool Cancel(string id)
    {
        lock (_gate)
        {
            if (!_jobs.TryGetValue(id, out var job)) return _ends.Remove(id);
            CancelHeld(job);
            return true;
        }
    }

    public void Dispose()
    {
        _stopping.Dispose();
        _signal.Dispose();
    }

    private void CancelHeld(SolveJob job)
    {
        job.Cancel();
        if (_waiting.Remove(job)) EndHeld(job, SolveRun.CancelledProblem);
    }

    private void Work()
    {
        try
        {
            while (true)
            {
                _signal.Wait(_stopping.Token);
                if (Take() is { } job) End(job, run.Run(job, _stopping.Token));
            }
        }
        catch (OperationCanceledException) when (_stopping.IsCancellationRequested)
        {
            // the service stops
        }
    }

    private SolveJob? Take()
    {
        lock (_gate)
        {
            if (_waiting.First is not { } first) return null; // it was cancelled while it waited
            _waiting.RemoveFirst();
            first.Value.Start();
            return first.Value;
        }
    }

    private void End(SolveJob job, Problem? problem)
    {
        lock (_gate) EndHeld(job, problem);
    }

    private void EndHeld(SolveJob job, Problem? problem)
    {
        if (_jobs.GetValueOrDefault(job.Request.Id) == job) _jobs.Remove(job.Request.Id);
        job.Finish(problem);
        if (problem is null) return;
        _ends[job.Request.Id] = job.Progress with { Problem = problem.ToBody() };
        _endOrder.Enqueue(job.Request.Id);
        if (_endOrder.Count > RememberedEnds) _ends.Remove(_endOrder.Dequeue());
    }
}
