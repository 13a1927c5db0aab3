namespace HeatSpread.Solver;

/// <summary>
/// Threads that share the rows of a loop. Each takes pieces of its own part first, one after the other, then of the others' the last that is left: a thread that the operating system has set aside
/// holds up the rest by one piece at most. Waiting threads spin for some microseconds, then give their time slice away, so that other work on the same
/// cores is not starved. Loop bodies write each row alone, or what they share under a lock or as a flag that is only ever set, and do not throw; results do not depend on who took which piece. Once the token is cancelled pieces are left
/// out, and the loop throws <see cref="OperationCanceledException"/>.
/// </summary>
internal sealed class ThreadTeam : IDisposable
{
    /// <summary>Floats below which a loop is not worth sharing.</summary>
    private const int LeastWork = 1 << 14;

    /// <summary>Floats that make a piece worth taking.</summary>
    private const int PieceWork = 1 << 13;

    private const int MostPieces = 16;

    /// <summary>Blocks of a part where a pass comes back. To one thread two were of less use; eight were of as much.</summary>
    private const int Quarters = 4;

    /// <summary>Floats of one stage from which on a pass goes through more memory than a core has caches of its own.</summary>
    private const int LeastToComeBack = 1 << 19;
    private const int Spins = 100;
    private const int Yields = 20_000;

    /// <summary>Places between counters, so that no two lie on one cache line.</summary>
    private const int Spread = 16;

    /// <summary>Floats after which a thread alone looks whether it is to go on.</summary>
    private const int AloneWork = 1 << 20;

    private readonly CancellationToken _cancellation;
    private readonly Action<ThreadTeam>? _giveBack;
    private readonly WorkerThreads _workers;

    /// <summary>For each thread's part in one number: the loop's generation (32 bits), the first piece that is left (16), and how many are left (16).</summary>
    private readonly long[] _left;

    /// <summary>For each place in the team how often its thread was told to leave: one that was late to see it must not stay when the place is another's.</summary>
    private readonly int[] _tenures;
    private Action<int, int> _body = (_, _) => { };
    private int _rows, _parts, _pieces, _finished;
    private volatile int _threads = 1, _granted = 1;
    private volatile int _generation;
    private volatile bool _ended;

    /// <param name="threads">At least 1, the caller's own among them.</param>
    /// <param name="cancellation">Ends loops.</param>
    /// <param name="most">Threads that it may come to have; null: no more than <paramref name="threads"/>.</param>
    /// <param name="workers">Where they wait between teams; null for new ones.</param>
    /// <param name="giveBack">Told when its threads are no longer used.</param>
    public ThreadTeam(int threads, CancellationToken cancellation, int? most = null, WorkerThreads? workers = null, Action<ThreadTeam>? giveBack = null)
    {
        (MostThreads, _cancellation, _workers, _giveBack) = (most ?? threads, cancellation, workers ?? new(), giveBack);
        _left = new long[MostThreads * Spread];
        _tenures = new int[MostThreads];
        _granted = threads;
        Fit();
    }

    /// <summary>They may become more or fewer from one loop to the next.</summary>
    public int Threads => _threads;

    public int MostThreads { get; }

    /// <summary>Threads that it has or will have from its next loop on.</summary>
    public int Granted => _granted;

    /// <summary>One thread more, from the next loop on. By one caller at a time.</summary>
    public void Grant() => _granted++;

    /// <summary>One thread less, from the next loop on: others need its core. By one caller at a time, who leaves it one.</summary>
    public void Revoke() => _granted--;

    /// <summary>Makes the threads as many as were granted. The team's own thread starts them, so that they have its priority.</summary>
    private void Fit()
    {
        var granted = _granted;
        if (_threads > granted)
        {
            for (var index = granted; index < _threads; index++) Volatile.Write(ref _tenures[index], _tenures[index] + 1);
            _threads = granted;
            _generation++; // of no loop: those who are too many see it and leave
        }

        while (_threads < granted)
        {
            var index = _threads;
            var tenure = _tenures[index];
            _threads = index + 1;
            try
            {
                _workers.Start(() => Serve(index, tenure));
            }
            catch (OutOfMemoryException)
            {
                // The system has no thread left: the others take the pieces of this one as well.
            }
        }
    }

    /// <summary>Ends loops; to be looked at by long work of one thread beside them too.</summary>
    public CancellationToken Cancellation => _cancellation;

    /// <summary>Threads worth having for a number of cells.</summary>
    public static int Useful(int threads, long cells) => (int)Math.Clamp(cells / 20_000, 1, threads);

    /// <summary>Runs <paramref name="body"/>(from, to) so that all rows are covered, in any order.</summary>
    public void ForRows(int rows, int floatsInRow, Action<int, int> body)
    {
        if (rows == 0) return;
        var work = (long)rows * floatsInRow;
        Fit();
        var threads = Threads;
        if (threads == 1 || work < LeastWork)
        {
            var parts = (int)Math.Clamp(work / AloneWork, 1, rows);
            for (var part = 0; part < parts && !_cancellation.IsCancellationRequested; part++) body((int)((long)rows * part / parts), (int)((long)rows * (part + 1) / parts));
            _cancellation.ThrowIfCancellationRequested();
            return;
        }

        (_body, _rows, _parts, _pieces, _finished) = (body, rows, threads, (int)Math.Clamp(work / PieceWork / threads, 1, MostPieces), 0);
        var generation = _generation + 1;
        for (var part = 0; part < threads; part++) Volatile.Write(ref _left[part * Spread], ((long)generation << 32) | (uint)_pieces);
        _generation = generation;
        try
        {
            TakePieces(0, generation);
        }
        finally
        {
            // Also where the caller's own piece threw, as for want of memory: the others still write.
            var all = threads * _pieces;
            for (var n = 0; Volatile.Read(ref _finished) < all; n++) Pause(n);
        }

        _cancellation.ThrowIfCancellationRequested();
    }

    /// <summary>
    /// Several loops in one pass over memory: stage k of a row runs as soon as stage k − 1 of the row and of both its neighbours is done. So a stage may
    /// overwrite what only these earlier ones read. A piece goes on where the one before it stopped, if that one is through; else both leave out a triangle at their border, which is filled in
    /// by who is through last (trapezoid tiling). Threads take their own pieces in order, so there are hardly more borders than threads (quarters of their parts, where a pass comes back) and pieces taken from others.
    /// </summary>
    /// <param name="rows">Rows.</param>
    /// <param name="floatsInRow">Work of a stage on one of them.</param>
    /// <param name="comesBack">
    /// Whether another pass went over the same memory just before. Then each thread takes the last quarter of its part first, which caches may hold yet, and its first quarter last, where the next
    /// pass begins. Within a quarter rows stay in order: what is read backwards is not seen coming.
    /// </param>
    /// <param name="stages">Each for one row.</param>
    public void ForRowsInStages(int rows, int floatsInRow, bool comesBack, params Action<int>[] stages)
    {
        var work = (long)rows * floatsInRow * stages.Length;
        var (parts, blocks) = (Threads, comesBack && (long)rows * floatsInRow >= LeastToComeBack ? Quarters : 1);
        // Borders are further apart than stages reach.
        var pieces = parts == 1 || work < LeastWork ? Math.Max(1, Math.Min(blocks, rows / (2 * stages.Length))) : (int)Math.Clamp(Math.Min(work / PieceWork, rows / (2L * stages.Length)), 1, MostPieces * parts);
        var order = Order(pieces, parts, blocks);
        // Who is through last fills in, in order the part before a border, else the part behind it, and the last part goes on past the others' end: parts are made as much smaller or larger as that is work.
        var shift = parts == 1 ? 0 : (order == null ? -1 : 1) * (stages.Length - 1) / 2;
        int Start(int piece) => piece == 0 ? 0 : piece == pieces ? rows : (int)((long)rows * piece / pieces) + shift;

        // By piece: whether the one before is through, plus whether it is through itself; and whether a triangle was left out between them.
        var through = new int[pieces + 1];
        var hasTriangle = new bool[pieces + 1];
        void Piece(int piece)
        {
            int from = Start(piece), to = Start(piece + 1), end = to == rows ? rows + stages.Length - 1 : to;
            var leavesOut = hasTriangle[piece] = piece > 0 && Volatile.Read(ref through[piece]) == 0;
            for (var step = from; step < end && !_cancellation.IsCancellationRequested; step++)
            {
                for (var k = 0; k < stages.Length; k++)
                {
                    var row = step - k;
                    if (row >= (leavesOut ? from + k : 0) && row < rows) stages[k](row);
                }
            }

            FillIn(piece);
            FillIn(piece + 1);
        }

        void FillIn(int piece)
        {
            if (Interlocked.Increment(ref through[piece]) != 2 || !hasTriangle[piece] || _cancellation.IsCancellationRequested) return;
            var border = Start(piece);
            for (var k = 1; k < stages.Length; k++)
            {
                for (var row = border - k; row < border + k; row++) stages[k](row);
            }
        }

        ForRows(pieces, (int)Math.Min(int.MaxValue, work / pieces), (from, to) =>
        {
            for (var n = from; n < to; n++) Piece(order == null ? n : order[n]);
        });
    }

    /// <summary>Pieces as they are taken: of each part the last block first, each from its first piece to its last. Null for one after the other.</summary>
    private static int[]? Order(int pieces, int parts, int blocks)
    {
        if (blocks == 1) return null;
        var order = new int[pieces];
        int End(int block) => (int)((long)pieces * block / (parts * blocks));
        for (int part = 0, n = 0; part < parts; part++)
        {
            for (var block = ((part + 1) * blocks) - 1; block >= part * blocks; block--)
            {
                for (var piece = End(block); piece < End(block + 1); piece++) order[n++] = piece;
            }
        }

        return order;
    }

    /// <summary>The sum of what <paramref name="piece"/>(from, to) gives for pieces that cover a range; the same bits for any number of threads.</summary>
    public double Sum(long length, Func<int, int, double> piece)
    {
        var sums = new double[(length + PieceWork - 1) / PieceWork];
        ForRows(sums.Length, PieceWork, (from, to) =>
        {
            for (var k = from; k < to; k++) sums[k] = piece(k * PieceWork, (int)Math.Min(length, (k + 1L) * PieceWork));
        });
        return sums.Sum();
    }

    /// <summary>Threads that have not seen the end of the last loop yet touch nothing of it any more.</summary>
    public void Dispose()
    {
        _ended = true;
        _generation++;
        _giveBack?.Invoke(this);
    }

    private void Serve(int index, int tenure)
    {
        for (var seen = 0; ;)
        {
            for (var n = 0; _generation == seen; n++) Pause(n);
            seen = _generation;
            if (_ended || Volatile.Read(ref _tenures[index]) != tenure) return;
            TakePieces(index, seen);
        }
    }

    private void TakePieces(int index, int generation)
    {
        // A late thread may read the number of the next loop here, and then finds no piece of its own loop's generation.
        var parts = Volatile.Read(ref _parts);
        for (var k = 0; k < parts; k++)
        {
            var part = (index + k) % parts;
            while (TryTake(part, generation, isOwn: k == 0, out var piece))
            {
                // A piece that was taken keeps its loop from ending, so body and bounds are this generation's.
                var n = (part * _pieces) + piece;
                try
                {
                    if (!_cancellation.IsCancellationRequested) _body((int)((long)_rows * n / (_parts * _pieces)), (int)((long)_rows * (n + 1) / (_parts * _pieces)));
                }
                finally
                {
                    Interlocked.Increment(ref _finished);
                }
            }
        }
    }

    private bool TryTake(int part, int generation, bool isOwn, out int piece)
    {
        ref var word = ref _left[part * Spread];
        while (true)
        {
            // All that decides is in one word: a late thread may be here still while the next loop is being set up, and must not take a piece by a mixture of both.
            var now = Volatile.Read(ref word);
            int first = (int)(now >> 16) & 0xFFFF, left = (int)now & 0xFFFF;
            piece = isOwn ? first : first + left - 1;
            if ((int)(now >> 32) != generation || left == 0) return false;
            if (Interlocked.CompareExchange(ref word, now - 1 + (isOwn ? 1 << 16 : 0), now) == now) return true;
        }
    }

    private static void Pause(int n)
    {
        if (n < Spins) Thread.SpinWait(20);
        else if (n < Yields) Thread.Yield();
        else Thread.Sleep(1);
    }
}
