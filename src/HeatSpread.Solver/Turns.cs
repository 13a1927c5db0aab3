namespace HeatSpread.Solver;

/// <summary>
/// So many at once; others wait for their turn, first come, first served. Who goes first may take a free turn before one who has been woken for it is there: to wake a thread takes longer than
/// what lies between two turns of one that runs. Safe for use by many threads.
/// </summary>
/// <param name="count">At least 1.</param>
internal sealed class Turns(int count)
{
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
        using ManualResetEventSlim woken = new(false, spinCount: 0);
        LinkedListNode<ManualResetEventSlim> self = new(woken);
        lock (_gate)
        {
            queue.AddLast(self);
            _waiting++;
        }

        try
        {
            while (!Took(self, goesFirst)) woken.Wait(cancellationToken);
        }
        finally
        {
            lock (_gate)
            {
                queue.Remove(self);
                _waiting--;
                WakeNext(); // also where this one was woken, and has given up
            }
        }
    }

    public void Release()
    {
        lock (_gate)
        {
            _free++;
            WakeNext();
        }
    }

    private bool Took(LinkedListNode<ManualResetEventSlim> self, bool goesFirst)
    {
        lock (_gate)
        {
            self.Value.Reset();
            var isNext = self.Previous == null && (goesFirst || _first.Count == 0);
            if (_free == 0 || !isNext) return false;
            _free--;
            return true;
        }
    }

    private void WakeNext()
    {
        if (_free > 0) (_first.First ?? _others.First)?.Value.Set();
    }
}
