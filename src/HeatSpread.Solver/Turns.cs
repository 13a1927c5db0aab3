using System.Diagnostics.CodeAnalysis;
using System.Runtime.ExceptionServices;

namespace HeatSpread.Solver;

/// <summary>
/// So much work at once; the rest waits for its turn, first come, first served, but for what goes first. Safe for use by many threads.
/// <para>
/// Who finds a turn free works in his own thread. Else another does the work, and who asked waits for its end: one that ends what it does takes up what waits, without a pause. A thread that is woken for its turn may be put behind the
/// work of another core and wait there while the core that became free idles (for up to 10 ms, seen with <c>perf</c> on Linux).
/// </para>
/// </summary>
/// <param name="count">At least 1.</param>
/// <param name="workers">Threads that do what waited.</param>
internal sealed class Turns(int count, WorkerThreads workers)
{
    private readonly Lock _gate = new();

    /// <summary>What goes first, and the rest. Both are empty while a turn is free.</summary>
    private readonly LinkedList<Job> _first = new(), _others = new();

    private int _free = count;
    private volatile int _waiting;

    /// <summary>How many wait.</summary>
    public int Waiting => _waiting;

    /// <summary>Does it when its turn has come. It may be done in another thread, in the caller's execution context and while the caller waits; what it throws, the caller gets.</summary>
    /// <param name="work">Must not ask for a turn itself.</param>
    /// <param name="goesFirst">Before all of which this was not said.</param>
    /// <param name="cancellationToken">Gives up waiting. Work that has begun is waited for; it is to look at the token itself.</param>
    /// <exception cref="OperationCanceledException">As the token asks.</exception>
    public void Do(Action work, bool goesFirst, CancellationToken cancellationToken)
    {
        cancellationToken.ThrowIfCancellationRequested();
        if (Queued(work, goesFirst) is { } job)
        {
            Await(job, cancellationToken);
            return;
        }

        try
        {
            work();
        }
        finally
        {
            HandOn();
        }
    }

    /// <summary>Null where a turn was free and is now the caller's.</summary>
    private Job? Queued(Action work, bool goesFirst)
    {
        lock (_gate)
        {
            if (_free > 0)
            {
                _free--;
                return null;
            }

            var job = new Job(work);
            (goesFirst ? _first : _others).AddLast(job);
            _waiting++;
            return job;
        }
    }

    private void Await(Job job, CancellationToken cancellationToken)
    {
        try
        {
            job.Done.Wait(cancellationToken);
        }
        catch (Exception e) when (e is OperationCanceledException or ThreadInterruptedException)
        {
            if (Withdrawn(job)) throw;
            WaitForEnd(job);
            if (e is ThreadInterruptedException) throw;
        }

        job.ThrowIfFailed();
    }

    /// <summary>Whatever interrupts: it works on the caller's memory.</summary>
    private static void WaitForEnd(Job job)
    {
        while (true)
        {
            try
            {
                job.Done.Wait(CancellationToken.None);
                return;
            }
            catch (ThreadInterruptedException)
            {
            }
        }
    }

    private bool Withdrawn(Job job)
    {
        lock (_gate)
        {
            if (!_first.Remove(job) && !_others.Remove(job)) return false;
            _waiting--;
            return true;
        }
    }

    /// <summary>The turn of a caller who has ended, to a thread that takes up what waits: the caller himself is to go on with what he has.</summary>
    private void HandOn()
    {
        lock (_gate)
        {
            if (_waiting == 0)
            {
                _free++;
                return;
            }
        }

        try
        {
            workers.Start(TakeUpAll);
        }
        catch (OutOfMemoryException)
        {
            // The system has no thread left.
            TakeUpAll();
        }
    }

    private void TakeUpAll()
    {
        while (Next() is { } job) job.Run();
    }

    /// <summary>Null where none waits, and then the turn is free.</summary>
    private Job? Next()
    {
        lock (_gate)
        {
            var queue = _first.Count > 0 ? _first : _others;
            if (queue.First is not { } next)
            {
                _free++;
                return null;
            }

            queue.RemoveFirst();
            _waiting--;
            return next.Value;
        }
    }

    [SuppressMessage("Design", "CA1001:Types that own disposable fields should be disposable", Justification = "It has no handle as long as none is asked for, and who waits may be through before Set is.")]
    private sealed class Job(Action work)
    {
        private readonly ExecutionContext? _context = ExecutionContext.Capture();
        private ExceptionDispatchInfo? _fault;

        public ManualResetEventSlim Done { get; } = new(false, spinCount: 0);

        public void Run()
        {
            try
            {
                if (_context == null) work();
                else ExecutionContext.Run(_context, static work => ((Action)work!)(), work);
            }
            catch (Exception e)
            {
                _fault = ExceptionDispatchInfo.Capture(e);
            }

            Done.Set();
        }

        public void ThrowIfFailed() => _fault?.Throw();
    }
}
