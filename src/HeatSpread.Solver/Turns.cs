using System.Diagnostics.CodeAnalysis;
using System.Runtime.ExceptionServices;

namespace HeatSpread.Solver;

/// <summary>
/// So much work at once; the rest waits for its turn, first come, first served, but for what goes first. Safe for use by many threads.
/// <para>
/// Who finds a turn free works in his own thread. Else he waits while another thread does the work: one that takes up what waits, one after the other, as long as any of its own priority does. A thread that is woken for its turn may be
/// put behind the work of another core and wait there while the core that became free idles (for up to 10 ms, seen with <c>perf</c> on Linux); so none is, but the first to take up what waits, and who has another
/// <see cref="Thread.Priority"/> than what was done before: he does it himself.
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

    /// <summary>Does it when its turn has come. It may be done in another thread of the same priority, in the caller's execution context and while the caller waits; what it throws, the caller gets.</summary>
    /// <param name="work">Must not ask for a turn itself.</param>
    /// <param name="goesFirst">Before all that waits and of which this was not said.</param>
    /// <param name="cancellationToken">Gives up waiting. Work that has begun is waited for; it is to look at the token itself.</param>
    /// <exception cref="OperationCanceledException">As the token asks.</exception>
    public void Do(Action work, bool goesFirst, CancellationToken cancellationToken)
    {
        cancellationToken.ThrowIfCancellationRequested();
        if (Queued(work, goesFirst) is { } job && WasDone(job, cancellationToken)) return;
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

    /// <summary>Waits until another has done it. False where the turn is the caller's, and he is to do it himself.</summary>
    private bool WasDone(Job job, CancellationToken cancellationToken)
    {
        try
        {
            job.Settled.Wait(cancellationToken);
        }
        catch (Exception e)
        {
            // Whatever ended the wait: nobody may work on the caller's memory any more when he leaves.
            if (Uninterrupted(() => Withdrawn(job))) throw;
            Uninterrupted(() => job.Settled.Wait(Timeout.Infinite));
            if (e is not OperationCanceledException)
            {
                if (job.IsLeftToCaller) HandOn();
                throw;
            }
        }

        job.ThrowIfFailed();
        return !job.IsLeftToCaller;
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

    /// <summary>The turn of a caller who has done his work, to a thread that takes up what waits: he himself is to go on with what he has.</summary>
    private void HandOn()
    {
        if (Uninterrupted(Next) is not { } next) return;
        try
        {
            if (next.Priority == Thread.CurrentThread.Priority) workers.Start(() => TakeUp(next));
            else next.LeaveToCaller();
        }
        catch (OutOfMemoryException)
        {
            next.LeaveToCaller(); // the system has no thread left
        }
    }

    private void TakeUp(Job first)
    {
        for (Job? job = first; job != null; job = Next())
        {
            if (job.Priority != Thread.CurrentThread.Priority)
            {
                job.LeaveToCaller();
                return;
            }

            job.Run();
        }
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

    /// <summary>To its end, as an interrupted lock is not taken, nor an interrupted wait over. The caller's next wait is interrupted instead.</summary>
    public static T Uninterrupted<T>(Func<T> action)
    {
        for (var interrupted = false; ;)
        {
            try
            {
                var result = action();
                if (interrupted) Thread.CurrentThread.Interrupt();
                return result;
            }
            catch (ThreadInterruptedException)
            {
                interrupted = true;
            }
        }
    }

    [SuppressMessage("Design", "CA1001:Types that own disposable fields should be disposable", Justification = "It has no handle as long as none is asked for, and who waits may be through before Set is.")]
    private sealed class Job(Action work)
    {
        private readonly ExecutionContext? _context = ExecutionContext.Capture();
        private ExceptionDispatchInfo? _fault;

        /// <summary>The caller's.</summary>
        public ThreadPriority Priority { get; } = Thread.CurrentThread.Priority;

        /// <summary>Set when it is done, or left to the caller.</summary>
        public ManualResetEventSlim Settled { get; } = new(false, spinCount: 0);

        /// <summary>The caller has the turn and does it himself.</summary>
        public bool IsLeftToCaller { get; private set; }

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

            Settled.Set();
        }

        public void LeaveToCaller()
        {
            IsLeftToCaller = true;
            Settled.Set();
        }

        public void ThrowIfFailed() => _fault?.Throw();
    }
}
