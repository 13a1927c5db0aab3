using System.Diagnostics.CodeAnalysis;

namespace HeatSpread.Solver;

/// <summary>
/// Threads that wait between solves, for rows of loops or for whole pieces of work: to start one costs as much as solving a small network. Not those of the thread pool, which others count on. One serves the thread that asked for it first alone, as it has that one's priority. One that
/// nothing has needed for some seconds ends.
/// </summary>
internal sealed class WorkerThreads
{
    /// <summary>How long one waits.</summary>
    private static readonly TimeSpan Patience = TimeSpan.FromSeconds(5);

    private readonly Lock _gate = new();
    private readonly List<Worker> _idle = [];

    /// <summary>Does a job on a thread of its own. It must not throw.</summary>
    /// <exception cref="OutOfMemoryException">The system has no thread left.</exception>
    public void Start(Action job)
    {
        Worker? worker;
        var caller = Environment.CurrentManagedThreadId;
        lock (_gate)
        {
            worker = _idle.FindLast(idle => idle.Caller == caller);
            if (worker != null) _idle.Remove(worker);
        }

        if (worker == null) new Worker(this, caller, job).Start();
        else worker.Take(job);
    }

    [SuppressMessage("Design", "CA1001:Types that own disposable fields should be disposable", Justification = "It disposes of it itself when it ends.")]
    private sealed class Worker(WorkerThreads owner, int caller, Action first)
    {
        private readonly SemaphoreSlim _wake = new(0);

        /// <summary>Null while it waits, so that what a job held is free.</summary>
        private Action? _job = first;

        public int Caller { get; } = caller;

        // Without the caller's context, which would else live as long as the thread. With a stack as long as any, as progress is told from it too.
        public void Start() => new Thread(Work) { IsBackground = true, Name = "solver", Priority = Thread.CurrentThread.Priority }.UnsafeStart();

        public void Take(Action job)
        {
            _job = job;
            _wake.Release();
        }

        private void Work()
        {
            do
            {
                _job!();
                _job = null;
                lock (owner._gate) owner._idle.Add(this);
            }
            while (_wake.Wait(Patience) || !Leave());
            _wake.Dispose();
        }

        /// <summary>False where a job came at the last moment.</summary>
        private bool Leave()
        {
            lock (owner._gate)
            {
                if (owner._idle.Remove(this)) return true;
            }

            _wake.Wait();
            return false;
        }
    }
}
