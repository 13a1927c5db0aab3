namespace HeatSpread.Solver;

/// <summary>
/// Threads that wait between solves: to start one costs as much as solving a small network. Not those of the thread pool, which others count on. One that nothing has needed for some seconds ends.
/// </summary>
internal sealed class WorkerThreads
{
    /// <summary>How long one waits.</summary>
    private static readonly TimeSpan Patience = TimeSpan.FromSeconds(5);

    private readonly Lock _gate = new();
    private readonly List<Worker> _idle = [];

    /// <summary>Does a job on a thread of its own. It must not throw.</summary>
    public void Start(Action job)
    {
        Worker? worker = null;
        lock (_gate)
        {
            if (_idle.Count > 0)
            {
                worker = _idle[^1];
                _idle.RemoveAt(_idle.Count - 1);
            }
        }

        if (worker == null) new Worker(this, job).Start();
        else worker.Take(job);
    }

    private sealed class Worker(WorkerThreads owner, Action first)
    {
        private readonly SemaphoreSlim _wake = new(0);

        /// <summary>Null while it waits, so that what a job held is free.</summary>
        private Action? _job = first;

        public void Start() => new Thread(Work, 1 << 18) { IsBackground = true, Name = "solver" }.Start();

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
