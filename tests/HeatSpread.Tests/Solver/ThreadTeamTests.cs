using System.Collections.Concurrent;
using System.Diagnostics;
using HeatSpread.Solver;
using Xunit;

namespace HeatSpread.Tests.Solver;

public class ThreadTeamTests
{
    /// <summary>Loops of one piece and of many in turn, so that a late thread of one meets the set-up of the next.</summary>
    [Fact]
    public void EveryRowIsDoneOnceHoweverLateAThreadIs()
    {
        using var team = new ThreadTeam(6, TestContext.Current.CancellationToken);
        var done = new int[48];
        for (var loop = 0; loop < 30_000; loop++)
        {
            var (rows, work) = loop % 2 == 0 ? (done.Length, 1 << 19) : (team.Threads, 1 << 14);
            team.ForRows(rows, 1 + (work / rows), (from, to) =>
            {
                for (var row = from; row < to; row++) Interlocked.Increment(ref done[row]);
            });
            for (var row = 0; row < rows; row++) Assert.Equal(1, done[row]);
            Array.Clear(done);
        }
    }

    /// <summary>Each stage of a row comes after the one before it of the row and of both its neighbours, and each once, whether pieces go on where others stopped or leave out triangles: threads are held up here and there.</summary>
    [Theory]
    [InlineData(1, 100, 3)]
    [InlineData(2, 333, 5)]
    [InlineData(4, 333, 6)]
    [InlineData(5, 61, 6)]
    [InlineData(3, 200, 1)]
    public void StagesOfARowFollowThoseOfItsNeighbours(int threads, int rows, int stageCount)
    {
        using var team = new ThreadTeam(threads, TestContext.Current.CancellationToken);
        var done = new int[rows];
        int outOfOrder = 0, loop = 0;
        var stages = Enumerable.Range(0, stageCount).Select(k => new Action<int>(row =>
        {
            if (((row * 31) + (k * 7) + loop) % 97 == 0) Thread.SpinWait(2000);
            bool IsReady(int neighbour) => neighbour < 0 || neighbour >= rows || Volatile.Read(ref done[neighbour]) >= k;
            if (Volatile.Read(ref done[row]) != k || !IsReady(row - 1) || !IsReady(row + 1)) Interlocked.Increment(ref outOfOrder);
            Interlocked.Increment(ref done[row]);
        })).ToArray();
        for (; loop < 300; loop++)
        {
            team.ForRowsInStages(rows, 1 << 14, comesBack: loop % 2 == 1, stages);
            Assert.All(done, n => Assert.Equal(stageCount, n));
            Array.Clear(done);
        }

        Assert.Equal(0, outOfOrder);
    }

    /// <summary>A thread's part from its last quarter to its first, rows within a quarter in order (with several threads only where the first of them begins, as pieces may be taken from it).</summary>
    [Theory]
    [InlineData(1, 400, 6)]
    [InlineData(1, 61, 4)]
    [InlineData(2, 400, 6)]
    [InlineData(3, 333, 5)]
    public void APassThatComesBackBeginsWhereTheLastOneEnded(int threads, int rows, int stageCount)
    {
        using var team = new ThreadTeam(threads, TestContext.Current.CancellationToken);
        System.Collections.Concurrent.ConcurrentQueue<(int Thread, int Row)> taken = [];
        using var begun = new CountdownEvent(threads);
        using var hasBegun = new ThreadLocal<bool>();
        void First(int row)
        {
            taken.Enqueue((Environment.CurrentManagedThreadId, row));
            if (hasBegun.Value) return;
            // None may be through with its own part before the others have begun with theirs.
            hasBegun.Value = true;
            begun.Signal();
            begun.Wait(TimeSpan.FromSeconds(20));
        }

        var others = Enumerable.Repeat<Action<int>>(_ => { }, stageCount - 1);
        team.ForRowsInStages(rows, 1 << 14, comesBack: true, [First, .. others]);

        Assert.Equal(Enumerable.Range(0, rows), taken.Select(t => t.Row).Order());
        int[] own = [.. taken.Where(t => t.Thread == Environment.CurrentManagedThreadId).Select(t => t.Row)];
        Assert.InRange(own[0], (rows / threads * 3 / 4) - rows / 16, rows / threads);
        if (threads > 1) return;
        Assert.Equal(3, own.Zip(own.Skip(1)).Count(pair => pair.Second != pair.First + 1));
        Assert.Equal(rows / 4 - 1, own[^1], 1.0);
    }

    /// <summary>The same thread wherever it is back in time; where all are at work, another.</summary>
    [Fact]
    public void AThreadThatWaitsTakesTheNextJob()
    {
        var workers = new WorkerThreads();
        var seen = new System.Collections.Concurrent.ConcurrentDictionary<int, int>();
        using var done = new SemaphoreSlim(0);
        void Job()
        {
            seen.AddOrUpdate(Environment.CurrentManagedThreadId, 1, (_, n) => n + 1);
            done.Release();
        }

        for (var k = 0; k < 200; k++)
        {
            workers.Start(Job);
            Assert.True(done.Wait(TimeSpan.FromSeconds(20), TestContext.Current.CancellationToken), $"job {k} was not done");
        }

        Assert.Equal(200, seen.Values.Sum());
        Assert.InRange(seen.Count, 1, 20);
    }

    [Theory]
    [InlineData(1)]
    [InlineData(3)]
    public void ACancelledLoopLeavesOutItsRestAndSaysSo(int threads)
    {
        using var source = new CancellationTokenSource();
        using var team = new ThreadTeam(threads, source.Token);
        var pieces = 0;
        Assert.Throws<OperationCanceledException>(() => team.ForRows(100, 1 << 20, (_, _) =>
        {
            Interlocked.Increment(ref pieces);
            source.Cancel();
        }));
        Assert.InRange(pieces, 1, threads);
        var rows = 0;
        Assert.Throws<OperationCanceledException>(() => team.ForRowsInStages(100, 1 << 10, comesBack: false, _ => rows++, _ => rows++));
        Assert.Equal(0, rows);
    }

    [Fact]
    public void SolvesThatRunAtOnceShareTheCoresAndOneAloneGetsAll()
    {
        var resources = new SolverResources(threadsPerSolve: 4, cores: 5);
        const long Many = 10_000_000;
        using (var first = resources.Team(Many, TestContext.Current.CancellationToken))
        {
            using var second = resources.Team(Many, TestContext.Current.CancellationToken);
            using var third = resources.Team(Many, TestContext.Current.CancellationToken);
            Assert.Equal([4, 1, 1], [first.Threads, second.Threads, third.Threads]);
        }

        using var alone = resources.Team(Many, TestContext.Current.CancellationToken);
        using var small = resources.Team(1000, TestContext.Current.CancellationToken);
        Assert.Equal([4, 1], [alone.Threads, small.Threads]);
    }

    /// <summary>Each once, on no more threads than cores; whoever interrupts the caller, nobody works any more when he leaves.</summary>
    [Theory]
    [InlineData(1, 5)]
    [InlineData(3, 2)]
    [InlineData(3, 40)]
    public void PiecesAtOnceAreDoneOnce(int cores, int count)
    {
        var resources = new SolverResources(cores);
        for (var time = 0; time < 3; time++)
        {
            var threads = new ConcurrentDictionary<int, bool>();
            var done = new int[count];
            if (time == 2) Thread.CurrentThread.Interrupt();
            resources.AtOnce(count, piece =>
            {
                threads[Environment.CurrentManagedThreadId] = true;
                Thread.SpinWait(20_000);
                Interlocked.Increment(ref done[piece]);
            });
            Assert.All(done, times => Assert.Equal(1, times));
            Assert.InRange(threads.Count, 1, cores);
        }

        Assert.Throws<ThreadInterruptedException>(() => Thread.Sleep(1));
    }

    /// <summary>A loop that runs while a thread joins, and those after it, do each row once.</summary>
    [Fact]
    public void CoresThatBecomeFreeGoToWhoStillRuns()
    {
        var resources = new SolverResources(threadsPerSolve: 3, cores: 3);
        const long Many = 10_000_000;
        var first = resources.Team(Many, TestContext.Current.CancellationToken);
        using var second = resources.Team(Many, TestContext.Current.CancellationToken);
        Assert.Equal([3, 1], [first.Threads, second.Threads]);
        var done = new int[64];
        var loops = 0;
        void Loop() => second.ForRows(done.Length, 1 << 14, (from, to) =>
        {
            for (var row = from; row < to; row++) Interlocked.Increment(ref done[row]);
        });
        for (; loops < 100; loops++) Loop();
        var ending = new Thread(first.Dispose);
        ending.Start();
        for (var start = Stopwatch.StartNew(); loops < 20_000 || second.Granted < 3; loops++)
        {
            Loop();
            Assert.True(start.Elapsed < TimeSpan.FromSeconds(60), $"{loops} loops, {second.Granted} threads granted");
        }

        ending.Join();
        Loop();
        loops++;
        Assert.Equal(3, second.Threads);
        Assert.All(done, n => Assert.Equal(loops, n));
    }

    /// <summary>Loops that run while others come and go, and take a core and give it back, do each row once.</summary>
    [Fact]
    public void WhoComesGetsACoreOfWhoHasMany()
    {
        var resources = new SolverResources(threadsPerSolve: 3, cores: 3);
        const long Many = 10_000_000;
        using var first = resources.Team(Many, TestContext.Current.CancellationToken);
        using (resources.Team(Many, TestContext.Current.CancellationToken)) Assert.Equal(2, first.Granted);
        Assert.Equal(3, first.Granted);
        var done = new int[64];
        int loops = 0, isEnding = 0;
        HashSet<int> threads = [];
        var others = new Thread(() =>
        {
            while (Volatile.Read(ref isEnding) == 0)
            {
                using (resources.Team(Many, CancellationToken.None))
                {
                    using (resources.Team(Many, CancellationToken.None)) Thread.Sleep(1);
                }

                Thread.Sleep(1);
            }
        })
        { IsBackground = true };
        others.Start();
        try
        {
            for (var start = Stopwatch.StartNew(); loops < 20_000 || threads.Count < 3; loops++)
            {
                first.ForRows(done.Length, 1 << 14, (from, to) =>
                {
                    for (var row = from; row < to; row++) Interlocked.Increment(ref done[row]);
                });
                threads.Add(first.Threads);
                Assert.True(start.Elapsed < TimeSpan.FromSeconds(60), $"{loops} loops, of {string.Join(", ", threads)} threads");
            }
        }
        finally
        {
            Volatile.Write(ref isEnding, 1);
            others.Join();
        }

        Assert.All(done, n => Assert.Equal(loops, n));
        Assert.Equal(3, first.Granted);
    }

    /// <summary>One that was told to leave and looks only when its place is another's leaves all the same.</summary>
    [Fact]
    public void NoThreadStaysThatWasToldToLeave()
    {
        using var team = new ThreadTeam(2, TestContext.Current.CancellationToken);
        System.Collections.Concurrent.ConcurrentDictionary<int, int> seen = [];
        void Loop(int spins) => team.ForRows(64, 1 << 14, (_, _) =>
        {
            seen.TryAdd(Environment.CurrentManagedThreadId, 0);
            Thread.SpinWait(spins);
        });
        for (var k = 0; k < 15; k++)
        {
            Loop(0);
            Thread.Sleep(40); // until who waits for the next loop sleeps too
            team.Revoke();
            Loop(0);
            team.Grant();
            Loop(0);
        }

        seen.Clear();
        for (var k = 0; k < 200; k++) Loop(1000);
        Assert.InRange(seen.Count, 1, 2);
    }
}
