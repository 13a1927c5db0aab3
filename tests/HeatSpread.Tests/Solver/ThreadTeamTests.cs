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
        Assert.Throws<OperationCanceledException>(() => team.ForRowsInStages(100, 1 << 10, _ => rows++, _ => rows++));
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
}
