using HeatSpread.Service.Problems;
using Microsoft.Extensions.Options;

namespace HeatSpread.Service.Jobs;

/// <summary>
/// The threads that do the work of the queue: their own, a bounded number, so that request threads stay free. One more takes small work only, so that a huge board does not hold it up.
/// </summary>
internal sealed class SolveWorkers(IWorkQueue queue, SolveRun run, IOptions<ServiceSettings> settings, TimeProvider clock, ILogger<SolveWorkers> logger) : IHostedService, IDisposable
{
    private static readonly TimeSpan AfterFault = TimeSpan.FromSeconds(1);

    private readonly CancellationTokenSource _stopping = new();
    private readonly List<Thread> _threads = [];
    private volatile bool _isDisposed;

    public Task StartAsync(CancellationToken cancellationToken)
    {
        for (int i = 0; i < settings.Value.ConcurrentSolves; i++) StartThread($"solve {i}", double.PositiveInfinity);
        if (settings.Value.SmallSolveSeconds > 0) StartThread("solve small", settings.Value.SmallSolveSeconds);
        return Task.CompletedTask;
    }

    /// <summary>Ends what runs; promised work is given back.</summary>
    public Task StopAsync(CancellationToken cancellationToken)
    {
        if (_threads.Count == 0 || _isDisposed) return Task.CompletedTask;
        _stopping.Cancel();
        return Task.Run(() => _threads.ForEach(thread => thread.Join()), cancellationToken);
    }

    /// <summary>A host that ends twice, or in disorder, stops after this; its threads must not see a token that is gone.</summary>
    public void Dispose()
    {
        if (_isDisposed) return;
        _isDisposed = true;
        _stopping.Cancel();
        _threads.ForEach(thread => thread.Join());
        _stopping.Dispose();
    }

    private void StartThread(string name, double longestSeconds)
    {
        var thread = new Thread(() => Work(longestSeconds)) { IsBackground = true, Name = name };
        thread.Start();
        _threads.Add(thread);
    }

    private void Work(double longestSeconds)
    {
        WorkerPriority.Lower();
        var stopping = _stopping.Token;
        while (!stopping.IsCancellationRequested)
        {
            try
            {
                // The waits stay on this thread, whose priority is lowered, and the solve on it or on others of that priority.
                var job = queue.Take(longestSeconds, stopping).GetAwaiter().GetResult();
                Do(job, stopping);
            }
            catch (OperationCanceledException) when (stopping.IsCancellationRequested)
            {
                return;
            }
            catch (Exception fault) // a thread that ends would never be replaced
            {
                logger.WorkerFault(fault);
                stopping.WaitHandle.WaitOne(AfterFault);
            }
        }
    }

    private void Do(SolveJob job, CancellationToken stopping)
    {
        long start = clock.GetTimestamp();
        var problem = run.Run(job, stopping);
        bool isGivenUp = problem?.Kind == ProblemKind.StorageFull || problem?.Kind == ProblemKind.QueueAway || (stopping.IsCancellationRequested && problem?.Kind == ProblemKind.Cancelled && !job.Cancellation.IsCancellationRequested);
        if (isGivenUp) queue.GiveBack(job, problem!).GetAwaiter().GetResult();
        else queue.Finish(job, problem, clock.GetElapsedTime(start).TotalSeconds).GetAwaiter().GetResult();
    }
}
