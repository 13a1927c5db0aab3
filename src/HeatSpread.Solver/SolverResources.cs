using HeatSpread.Solver.Multigrid;

namespace HeatSpread.Solver;

/// <summary>
/// What solves share: cores, and memory that waits between them. Of small ones as many run at once as there are cores, others wait for their turn: time slices would drive each one's memory out of the caches. For the same reason a hierarchy that was just set up is solved on before others, that wait then, are set up.
/// Those that run take threads from one budget, each at least its caller's own, so that many small ones get a core each and one alone gets all; cores that become free go to those that still run, and back to those that come.
/// The number of threads does not change a bit of a result. Safe for use by many threads.
/// </summary>
public sealed class SolverResources
{
    /// <summary>Cells up to which a solve is small, over soon and held by the caches. A larger one waits for none and lets none wait.</summary>
    private const long SmallCells = 500_000;

    private readonly Lock _gate = new();
    private readonly WorkerThreads _workers = new();
    private readonly Turns _turns;
    private readonly List<ThreadTeam> _running = [];
    private int _busy;

    /// <param name="threadsPerSolve">Most threads of one solve, at least 1.</param>
    /// <param name="cores">Threads of all solves together, as far as that leaves each its own; null: as many as one may have.</param>
    /// <param name="scratchBytes">Most memory that is kept while nothing uses it, at least 0; null: all that was used at once. A first touch of fresh memory costs more than reading it.</param>
    public SolverResources(int threadsPerSolve, int? cores = null, long? scratchBytes = null)
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(threadsPerSolve, 1);
        if (cores is { } given) ArgumentOutOfRangeException.ThrowIfLessThan(given, 1, nameof(cores));
        if (scratchBytes is { } bytes) ArgumentOutOfRangeException.ThrowIfNegative(bytes, nameof(scratchBytes));
        ThreadsPerSolve = threadsPerSolve;
        Cores = cores ?? threadsPerSolve;
        _turns = new(Cores, _workers);
        Scratch = new ScratchPool(scratchBytes ?? long.MaxValue);
    }

    public int ThreadsPerSolve { get; }

    public int Cores { get; }

    /// <summary>Bytes that wait for the next solve.</summary>
    public long IdleScratchBytes => Scratch.IdleBytes;

    internal ScratchPool Scratch { get; }

    /// <summary>Does work on so many cells when its turn has come, with as many threads as are worth having, as far as other solves leave them, and no more than <paramref name="most"/>.</summary>
    /// <param name="cells">Of the network.</param>
    /// <param name="work">Must not ask for threads itself. It may be done in another thread, while the caller waits.</param>
    /// <param name="cancellationToken">Ends waiting, and the team's loops.</param>
    /// <param name="most">Threads, at least 1.</param>
    /// <param name="goesFirst">The caches hold what it works on: its turn comes before that of others.</param>
    /// <exception cref="OperationCanceledException">As the token asks.</exception>
    internal T Run<T>(long cells, Func<ThreadTeam, T> work, CancellationToken cancellationToken, int most = int.MaxValue, bool goesFirst = false)
    {
        T Now()
        {
            using var team = Team(cells, cancellationToken, most);
            return work(team);
        }

        if (cells > SmallCells) return Now();
        T result = default!;
        try
        {
            _turns.Do(() => result = Now(), goesFirst, cancellationToken);
        }
        catch
        {
            lock (_gate) HandOut(); // the core that was kept for it
            throw;
        }

        return result;
    }

    /// <summary>
    /// Does pieces of work that come to solves, each once, as many at once as there are cores: by the caller and by threads of its priority that wait here between solves, as others count on those of the thread pool. Where the system has no thread left, the caller does all.
    /// </summary>
    /// <param name="count">Pieces.</param>
    /// <param name="work">Told the number of a piece, from 0 on, which is also the order in which they are begun. Must not throw.</param>
    public void AtOnce(int count, Action<int> work)
    {
        ArgumentNullException.ThrowIfNull(work);
        var (begun, helpers) = (0, 0);
        var done = new SemaphoreSlim(0); // which no wait handle is asked of, and so needs no disposal
        void Work()
        {
            for (int piece; (piece = Interlocked.Increment(ref begun) - 1) < count;) work(piece);
        }

        try
        {
            for (; helpers < Math.Min(count, Cores) - 1; helpers++)
            {
                _workers.Start(() =>
                {
                    Work();
                    done.Release();
                });
            }
        }
        catch (OutOfMemoryException)
        {
            // No thread left: those that there are do the rest.
        }
        finally
        {
            // Whatever happened: nobody works on the caller's memory any more when he leaves.
            Work();
            for (var k = 0; k < helpers; k++) Turns.Uninterrupted(() => done.Wait(Timeout.Infinite));
        }
    }

    /// <summary>Threads at once, as far as other work leaves them.</summary>
    internal ThreadTeam Team(long cells, CancellationToken cancellationToken, int most = int.MaxValue)
    {
        lock (_gate)
        {
            var useful = ThreadTeam.Useful(Math.Min(ThreadsPerSolve, most), cells);
            var team = new ThreadTeam(Math.Clamp(Cores - _busy - _turns.Waiting, 1, useful), cancellationToken, useful, _workers, GiveBack);
            _busy += team.Granted;
            while (_busy > Cores && _running.MaxBy(t => t.Granted) is { Granted: > 1 } richest)
            {
                richest.Revoke();
                _busy--;
            }

            _running.Add(team);
            return team;
        }
    }

    private void GiveBack(ThreadTeam team)
    {
        lock (_gate)
        {
            _busy -= team.Granted;
            _running.Remove(team);
            HandOut();
        }
    }

    /// <summary>Free cores to those that run, but for those who wait for a turn: each takes a core himself.</summary>
    private void HandOut()
    {
        while (_busy + _turns.Waiting < Cores && _running.Where(t => t.Granted < t.MostThreads).MinBy(t => t.Granted) is { } next)
        {
            next.Grant();
            _busy++;
        }
    }
}
