using HeatSpread.Benchmarks.Service;

namespace HeatSpread.Service.Tests;

/// <summary>A few kills of the real process; <c>HeatSpread.Benchmarks faults</c> makes many.</summary>
public sealed class FaultTests
{
    [Fact]
    public async Task Nothing_promised_is_lost_when_the_process_is_killed()
    {
        using var folder = new TemporaryFolder();
        using var run = new FaultRun(typeof(Program).Assembly.Location, folder.Path, seed: 7);
        var counts = await run.Run(kills: 2, TextWriter.Null, TestContext.Current.CancellationToken);
        Assert.True(counts.IsSound, counts.ToString());
    }
}
