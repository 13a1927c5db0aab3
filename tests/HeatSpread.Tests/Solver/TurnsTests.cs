using HeatSpread.Solver;
using Xunit;

namespace HeatSpread.Tests.Solver;

public sealed class TurnsTests
{
    private static readonly TimeSpan Patience = TimeSpan.FromSeconds(20);
    private readonly ManualResetEventSlim _begun = new(), _mayEnd = new();

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
        using var source = new CancellationTokenSource(TimeSpan.FromMilliseconds(50));
        Assert.Throws<OperationCanceledException>(() => turns.Do(() => Assert.Fail("given up"), goesFirst: false, source.Token));
        Assert.Equal(0, turns.Waiting);

        using CancellationTokenSource later = new();
        using ManualResetEventSlim runs = new(), mayReturn = new();
        var asking = Asking(turns, false, () =>
        {
            runs.Set();
            mayReturn.Wait(Patience);
        }, token: later.Token);
        _mayEnd.Set();
        Assert.True(runs.Wait(Patience, TestContext.Current.CancellationToken));
        later.Cancel();
        Assert.False(asking.Join(TimeSpan.FromMilliseconds(50)));
        asking.Interrupt();
        Assert.False(asking.Join(TimeSpan.FromMilliseconds(50)));
        mayReturn.Set();
        Assert.True(asking.Join(Patience));
        Assert.True(busy.Join(Patience));
        turns.Do(() => { }, goesFirst: false, TestContext.Current.CancellationToken);
    }

    /// <summary>Whoever waits gets his turn, with the threads that are left.</summary>
    [Fact]
    public void MoreSolvesThanCoresWaitForTheirTurn()
    {
        var resources = new SolverResources(threadsPerSolve: 2, cores: 2);
        const long Small = 400_000;
        int atOnce = 0, most = 0;
        Thread[] callers = [.. Enumerable.Range(0, 6).Select(_ => new Thread(() => resources.Run(Small, _ =>
        {
            var running = Interlocked.Increment(ref atOnce);
            lock (resources) most = Math.Max(most, running);
            Thread.Sleep(20);
            Interlocked.Decrement(ref atOnce);
            return 0;
        }, CancellationToken.None)) { IsBackground = true })];
        foreach (var thread in callers) thread.Start();
        Assert.All(callers, thread => Assert.True(thread.Join(Patience)));
        Assert.Equal(2, most);
        Assert.Equal(2, resources.Run(Small, team => team.Threads, TestContext.Current.CancellationToken)); // alone again
    }

    /// <summary>A thread that has the turn until <see cref="_mayEnd"/>.</summary>
    private Thread Busy(Turns turns)
    {
        Thread thread = new(() => turns.Do(() =>
        {
            _begun.Set();
            _mayEnd.Wait(Patience);
        }, goesFirst: false, CancellationToken.None)) { IsBackground = true };
        thread.Start();
        Assert.True(_begun.Wait(Patience, TestContext.Current.CancellationToken));
        return thread;
    }

    /// <summary>A thread whose work waits already.</summary>
    private static Thread Asking(Turns turns, bool goesFirst, Action work, Action<Exception>? failed = null, CancellationToken token = default)
    {
        var waiting = turns.Waiting;
        Thread thread = new(() =>
        {
            try
            {
                turns.Do(work, goesFirst, token);
            }
            catch (Exception e) when (failed != null || e is ThreadInterruptedException)
            {
                failed?.Invoke(e);
            }
        })
        { IsBackground = true };
        thread.Start();
        Assert.True(SpinWait.SpinUntil(() => turns.Waiting > waiting, Patience));
        return thread;
    }
}
