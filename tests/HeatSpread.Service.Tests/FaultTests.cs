using HeatSpread.Benchmarks.Service;

namespace HeatSpread.Service.Tests;

/// <summary>A few kills of the real processes; <c>HeatSpread.Benchmarks faults</c> and <c>distributed</c> make many.</summary>
public sealed class FaultTests
{
    [Fact]
    public async Task Two_replicas_and_three_workers_ended_at_random_solve_what_was_promised_once()
    {
        Assert.SkipWhen(NatsServer.Program is null, NatsServer.NotInstalled);
        using var folder = new TemporaryFolder();
        using var run = new DistributedRun(typeof(Program).Assembly.Location, folder.Path, seed: 7);
        var counts = await run.Run(TimeSpan.FromSeconds(12), int.MaxValue, TextWriter.Null, TestContext.Current.CancellationToken);
        Assert.True(counts.IsSound, counts.ToString());
    }

    [Fact]
    public async Task Nothing_promised_is_lost_when_the_process_is_killed()
    {
        using var folder = new TemporaryFolder();
        using var run = new FaultRun(typeof(Program).Assembly.Location, folder.Path, seed: 7);
        var counts = await run.Run(kills: 2, TextWriter.Null, TestContext.Current.CancellationToken);
        Assert.True(counts.IsSound, counts.ToString());
    }
}
