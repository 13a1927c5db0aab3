using HeatSpread.Insight;
using Xunit;

namespace HeatSpread.Tests.Insight;

public class LimitCheckTests
{
    private static readonly Place peak = new(83.24, "L1", new(31.2e-3, 20.4e-3), "GND");

    [Fact]
    public void WithinAllLimitsPassesWithoutReasons()
    {
        var verdict = Judge(partCelsius: 79.9, limit: 80);
        Assert.True(verdict.Pass);
        Assert.Empty(verdict.Reasons);
    }

    [Fact]
    public void APartAboveItsLimitIsNamedWithNumbers()
    {
        var verdict = Judge(partCelsius: 88.04, limit: 80);
        Assert.False(verdict.Pass);
        Assert.Equal("U1 reaches 88.0 °C, 8.0 K above its limit of 80 °C.", Assert.Single(verdict.Reasons));
    }

    [Fact]
    public void TheBoardsLimitTellsThePlace()
    {
        var board = SampleBoards.TwoLayers(10e-3, 8e-3);
        var verdict = LimitCheck.Judge(board, SampleBoards.StillRoom, peak with { Celsius = 104.5 }, []);
        Assert.Equal("The board reaches 104.5 °C on L1 at (31.2, 20.4) mm, 4.5 K above its limit of 100 °C.", Assert.Single(verdict.Reasons));
    }

    [Fact]
    public void APartWithoutALimitPasses() => Assert.True(Judge(partCelsius: 500, limit: null).Pass);

    private static Verdict Judge(double partCelsius, double? limit)
    {
        var board = SampleBoards.TwoLayers(10e-3, 8e-3);
        var part = new PartSummary("U1", 1, partCelsius, limit, new Dictionary<string, double>(), []);
        return LimitCheck.Judge(board, SampleBoards.StillRoom, peak, [part]);
    }
}
