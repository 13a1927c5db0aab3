using System.Diagnostics;
using HeatSpread.Solver;
using Xunit;

namespace HeatSpread.Tests.Solver;

public sealed class TurnsTests : IDisposable
{
    private static readonly TimeSpan Patience = TimeSpan.FromSeconds(20);
    private readonly ManualResetEventSlim _begun = new(), _mayEnd = new();

    public void Dispose()
    {
        _begun.Dispose();
        _mayEnd.Dispose();
    }

    /// <summary>What was set up is solved on before others are set up, by whoever asks first.</summary>
    [Fact]
    public void WhatGoesFirstIsDoneBeforeWhatWaitsLonger()
    {
        var turns = new Turns(1, new());
        List<int> order = [];
        var busy = Busy(turns);
        Thread[] waiting = [Asking(turns, false, () => order.Add(1)), Asking(turns, false, () => order.Add(2)), Asking(turns, true, () => order.Add(3)), Asking(turns, true, () => order.Add(4))];
        _mayEnd.Set();
        Assert.All([busy, .. waiting], thread => Assert.True(thread.Join(Patience)));
        Assert.Equal([3, 4, 1, 2], order);
    }

    /// <summary>Who finds a turn free works himself; what waited is done by one thread after the other piece, none of the callers'.</summary>
    [Fact]
    public void WhatWaitedIsDoneByOneThread()
    {
        var turns = new Turns(1, new());
        List<int> threads = [];
        void Note() => threads.Add(Environment.CurrentManagedThreadId);
        turns.Do(Note, goesFirst: false, TestContext.Current.CancellationToken);
        Assert.Equal([Environment.CurrentManagedThreadId], threads);
        threads.Clear();
        var busy = Busy(turns);
        Thread[] waiting = [.. Enumerable.Range(0, 5).Select(_ => Asking(turns, false, Note))];
        _mayEnd.Set();
        Assert.All([busy, .. waiting], thread => Assert.True(thread.Join(Patience)));
        Assert.Equal(5, threads.Count);
        Assert.Single(threads.Distinct());
        Assert.DoesNotContain(threads[0], waiting.Append(busy).Select(thread => thread.ManagedThreadId));
    }

    /// <summary>Many who ask again and again: never more at once than turns, nothing lost, and all turns are there in the end.</summary>
    [Fact]
    public void NeverMoreAtOnceThanTurns()
    {
        const int Callers = 8, Times = 2000, Count = 3;
        var turns = new Turns(Count, new());
        int now = 0, most = 0, done = 0;
        Thread[] callers = [.. Enumerable.Range(0, Callers).Select(caller => new Thread(() =>
        {
            for (var k = 0; k < Times; k++)
            {
                turns.Do(() =>
                {
                    var running = Interlocked.Increment(ref now);
                    for (var seen = most; running > seen; seen = most) Interlocked.CompareExchange(ref most, running, seen);
                    Thread.SpinWait(50);
                    Interlocked.Increment(ref done);
                    Interlocked.Decrement(ref now);
                }, goesFirst: (k + caller) % 3 == 0, CancellationToken.None);
            }
        })
        { IsBackground = true })];
        foreach (var thread in callers) thread.Start();
        Assert.All(callers, thread => Assert.True(thread.Join(TimeSpan.FromSeconds(60))));
        Assert.Equal((Callers * Times, 0), (done, turns.Waiting));
        Assert.InRange(most, 1, Count);
        using Barrier all = new(Count);
        var met = 0;
        Thread[] last = [.. Enumerable.Range(0, Count).Select(_ => new Thread(() => turns.Do(() =>
        {
            if (all.SignalAndWait(Patience)) Interlocked.Increment(ref met);
        }, goesFirst: false, CancellationToken.None)) { IsBackground = true })];
        foreach (var thread in last) thread.Start();
        Assert.All(last, thread => Assert.True(thread.Join(Patience)));
        Assert.Equal(Count, met);
    }

    [Fact]
    public void WhatFailsInAnotherThreadFailsForWhoAsked()
    {
        var turns = new Turns(1, new());
        var busy = Busy(turns);
        Exception? seen = null;
        AsyncLocal<string> local = new() { Value = "of the caller" };
        string? there = null;
        var asking = Asking(turns, false, () =>
        {
            there = local.Value;
            throw new InvalidOperationException("in vain");
        }, e => seen = e);
        var after = Asking(turns, false, () => { });
        _mayEnd.Set();
        Assert.All([busy, asking, after], thread => Assert.True(thread.Join(Patience)));
        Assert.Equal("in vain", Assert.IsType<InvalidOperationException>(seen).Message);
        Assert.Equal("of the caller", there);
    }

    /// <summary>Who gives up waiting is gone; who gives up what runs gets its end, as it works on his memory.</summary>
    [Fact]
    public void CancelledWhileItWaitsAndWhileItRuns()
    {
        var turns = new Turns(1, new());
        var busy = Busy(turns);
        Exception? seen = null;
        using CancellationTokenSource source = new(), later = new();
        var gone = Asking(turns, false, () => seen = new InvalidOperationException("done all the same"), e => seen = e, givesUp: source);
        source.Cancel();
        Assert.True(gone.Join(Patience));
        Assert.IsType<OperationCanceledException>(seen);
        Assert.Equal(0, turns.Waiting);

        using ManualResetEventSlim runs = new(), mayReturn = new();
        var asking = Asking(turns, false, () =>
        {
            runs.Set();
            mayReturn.Wait(Patience);
        }, e => seen = e, givesUp: later);
        seen = null;
        _mayEnd.Set();
        Assert.True(runs.Wait(Patience, TestContext.Current.CancellationToken));
        later.Cancel();
        Assert.False(asking.Join(TimeSpan.FromMilliseconds(50)));
        asking.Interrupt();
        Assert.False(asking.Join(TimeSpan.FromMilliseconds(50)));
        mayReturn.Set();
        Assert.True(asking.Join(Patience));
        Assert.Null(seen); // it was done
        Assert.True(busy.Join(Patience));
        turns.Do(() => { }, goesFirst: false, TestContext.Current.CancellationToken);
    }

    /// <summary>However often and whenever they are interrupted: what ran has ended, and what did not begin never does.</summary>
    [Fact]
    public void WhoIsInterruptedLeavesNothingBehind()
    {
        var turns = new Turns(1, new());
        int here = 0, isEnding = 0, late = 0, done = 0;
        var victim = new Thread(() =>
        {
            while (Volatile.Read(ref isEnding) == 0)
            {
                try
                {
                    Volatile.Write(ref here, 1);
                    turns.Do(() =>
                    {
                        if (Volatile.Read(ref here) == 0) Interlocked.Increment(ref late);
                        Interlocked.Increment(ref done);
                    }, goesFirst: false, CancellationToken.None);
                }
                catch (ThreadInterruptedException)
                {
                }
                finally
                {
                    Volatile.Write(ref here, 0);
                }
            }
        })
        { IsBackground = true };
        Thread[] others = [.. Enumerable.Range(0, 3).Select(_ => new Thread(() =>
        {
            while (Volatile.Read(ref isEnding) == 0) turns.Do(() => { }, goesFirst: false, CancellationToken.None);
        }) { IsBackground = true })];
        foreach (var thread in (Thread[])[victim, .. others]) thread.Start();
        for (var start = Stopwatch.StartNew(); start.Elapsed < TimeSpan.FromSeconds(2);) victim.Interrupt();

        Volatile.Write(ref isEnding, 1);
        Assert.All([victim, .. others], thread => Assert.True(thread.Join(Patience)));
        turns.Do(() => { }, goesFirst: false, TestContext.Current.CancellationToken);
        Assert.Equal(0, late);
        Assert.NotEqual(0, done);
    }

    /// <summary>A caller of another priority is woken for his turn, and then those of the first have theirs again.</summary>
    [Fact]
    public void WhatWaitsIsDoneWithThePriorityOfWhoAsked()
    {
        var turns = new Turns(1, new());
        List<(int Caller, ThreadPriority Priority)> order = [];
        var busy = Busy(turns);
        Thread Caller(int caller, ThreadPriority priority) => Asking(turns, false, () => order.Add((caller, Thread.CurrentThread.Priority)), priority: priority);
        Thread[] waiting = [Caller(1, ThreadPriority.Normal), Caller(2, ThreadPriority.BelowNormal), Caller(3, ThreadPriority.BelowNormal), Caller(4, ThreadPriority.Normal)];
        _mayEnd.Set();
        Assert.All([busy, .. waiting], thread => Assert.True(thread.Join(Patience)));
        Assert.Equal([(1, ThreadPriority.Normal), (2, ThreadPriority.BelowNormal), (3, ThreadPriority.BelowNormal), (4, ThreadPriority.Normal)], order);
    }

    /// <summary>As deep as a caller's own thread goes: progress, which is told from there, is the caller's code.</summary>
    [Fact]
    public void WhatWaitedHasALongStack()
    {
        var turns = new Turns(1, new());
        var busy = Busy(turns);
        var sum = 0;
        var asking = Asking(turns, false, () =>
        {
            Span<byte> much = stackalloc byte[600_000];
            much.Fill(1);
            foreach (var one in much) sum += one;
        });
        _mayEnd.Set();
        Assert.True(asking.Join(Patience));
        Assert.True(busy.Join(Patience));
        Assert.Equal(600_000, sum);
    }

    /// <summary>Whoever waits gets his turn, two at once, and one alone has all threads again.</summary>
    [Fact]
    public void MoreSolvesThanCoresWaitForTheirTurn()
    {
        var resources = new SolverResources(threadsPerSolve: 2, cores: 2);
        const long Small = 400_000;
        using Barrier two = new(2);
        int atOnce = 0, most = 0, met = 0;
        Thread[] callers = [.. Enumerable.Range(0, 6).Select(_ => new Thread(() => resources.Run(Small, _ =>
        {
            var running = Interlocked.Increment(ref atOnce);
            lock (resources) most = Math.Max(most, running);
            if (two.SignalAndWait(Patience)) Interlocked.Increment(ref met);
            return Interlocked.Decrement(ref atOnce);
        }, CancellationToken.None)) { IsBackground = true })];
        foreach (var thread in callers) thread.Start();
        Assert.All(callers, thread => Assert.True(thread.Join(Patience)));
        Assert.Equal((2, 6), (most, met));
        Assert.Equal(2, resources.Run(Small, team => team.Threads, TestContext.Current.CancellationToken));
    }

    /// <summary>A solve that is given up while it waits says so, and leaves a field as one does that has begun: cold cells at 0.</summary>
    [Fact]
    public void ASolveCancelledWhileItWaitsIsCancelled()
    {
        var resources = new SolverResources(threadsPerSolve: 1, cores: 1);
        var grid = new ConductanceGrid(5, 1, 1);
        grid.East.AsSpan(0, 3).Fill(1);
        grid.ToSink[0] = 1;
        using var solver = MultigridSolver.Prepare(grid, resources, TestContext.Current.CancellationToken);
        using CancellationTokenSource source = new();
        var holding = new Thread(() => resources.Run(5, _ =>
        {
            _begun.Set();
            return _mayEnd.Wait(Patience);
        }, CancellationToken.None))
        { IsBackground = true };
        holding.Start();
        Assert.True(_begun.Wait(Patience, TestContext.Current.CancellationToken));
        source.CancelAfter(TimeSpan.FromMilliseconds(100));
        double[] field = [1, 2, 3, 4, 5];
        Assert.Equal(SolveStatus.Cancelled, solver.Solve([0, 0, 0, 1, 0], field, new SolveSettings(1e-8), progress: null, source.Token).Status);
        Assert.Equal([1, 2, 3, 4, 0], field);
        _mayEnd.Set();
        Assert.True(holding.Join(Patience));
        Assert.Equal(SolveStatus.Converged, solver.Solve([0, 0, 0, 1, 0], field, new SolveSettings(1e-8), progress: null, TestContext.Current.CancellationToken).Status);
    }

    /// <summary>A thread that has the turn until <see cref="_mayEnd"/>.</summary>
    private Thread Busy(Turns turns)
    {
        Thread thread = new(() => turns.Do(() =>
        {
            _begun.Set();
            _mayEnd.Wait(Patience);
        }, goesFirst: false, CancellationToken.None))
        { IsBackground = true };
        thread.Start();
        Assert.True(_begun.Wait(Patience, TestContext.Current.CancellationToken));
        return thread;
    }

    /// <summary>A thread whose work waits already.</summary>
    private static Thread Asking(Turns turns, bool goesFirst, Action work, Action<Exception>? failed = null, ThreadPriority priority = ThreadPriority.Normal, CancellationTokenSource? givesUp = null)
    {
        var waiting = turns.Waiting;
        Thread thread = new(() =>
        {
            try
            {
                turns.Do(work, goesFirst, givesUp?.Token ?? CancellationToken.None);
            }
            catch (Exception e) when (failed != null || e is ThreadInterruptedException)
            {
                failed?.Invoke(e);
            }
        })
        { IsBackground = true, Priority = priority };
        thread.Start();
        Assert.True(SpinWait.SpinUntil(() => turns.Waiting > waiting, Patience));
        return thread;
    }
}
