namespace HeatSpread.Solver;

/// <summary>
/// So many at once; others wait for their turn, first come, first served, but for those who go first. Safe for use by many threads.
/// <para>
/// The next in line is not woken: it looks once a millisecond. A thread that is woken by one that still runs may be put behind the work of another core, and waits there while the core that became free
/// idles (for up to 10 ms, seen with <c>perf</c> on Linux); a timer finds the idle core. And who goes first finds his turn free when he comes at once after giving back another.
/// </para>
/// </summary>
/// <param name="count">At least 1.</param>
internal sealed class Turns(int count)
{
    private static readonly TimeSpan Look = TimeSpan.FromMilliseconds(1);

    private readonly Lock _gate = new();

    /// <summary>Who goes first, and the others.</summary>
    private readonly LinkedList<ManualResetEventSlim> _first = new(), _others = new();

    private int _free = count;
    private volatile int _waiting;

    /// <summary>How many wait.</summary>
    public int Waiting => _waiting;

    /// <summary>Waits for a turn.</summary>
    /// <param name="goesFirst">Before all who have not said so.</param>
    /// <param name="cancellationToken">Gives up waiting.</param>
    /// <exception cref="OperationCanceledException">As the token asks.</exception>
    public void Take(bool goesFirst, CancellationToken cancellationToken)
    {
        cancellationToken.ThrowIfCancellationRequested();
        var queue = goesFirst ? _first : _others;
        using ManualResetEventSlim isNext = new(false, spinCount: 0);
        lock (_gate)
        {
            queue.AddLast(isNext);
            _waiting++;
            if (queue.Count == 1) isNext.Set();
        }

        try
        {
            isNext.Wait(cancellationToken);
            while (!Took(goesFirst))
            {
                cancellationToken.ThrowIfCancellationRequested();
                Thread.Sleep(Look);
            }
        }
        finally
        {
            lock (_gate)
            {
                queue.Remove(isNext);
                _waiting--;
                queue.First?.Value.Set();
            }
        }
    }

    /// <summary>By who is the next in line.</summary>
    private bool Took(bool goesFirst)
    {
        lock (_gate)
        {
            if (_free == 0 || (_first.Count > 0 && !goesFirst)) return false;
            _free--;
            return true;
        }
    }

    public void Release()
    {
        lock (_gate) _free++;
    }
}
