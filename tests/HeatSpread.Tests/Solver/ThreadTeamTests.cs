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
