using HeatSpread.Insight.Studies;
using Xunit;

namespace HeatSpread.Tests.Insight.Studies;

public class SamplingTests
{
    private static readonly Distribution[] spreads = [new UniformSpread(2, 6), new NormalSpread(10, 2), new TriangularSpread(0, 1, 4)];

    /// <summary>The property of McKay, Beckman and Conover: each of N equal shares of every input holds one point.</summary>
    [Theory]
    [InlineData(1, 10)]
    [InlineData(7, 500)]
    public void EveryShareOfEveryInputHoldsOnePoint(int seed, int count)
    {
        var points = LatinHypercube.Draw(spreads, count, seed);
        for (int input = 0; input < spreads.Length; input++)
        {
            double[] sorted = [.. points.Select(point => point[input]).Order()];
            for (int share = 0; share < count; share++)
            {
                double least = share == 0 ? double.NegativeInfinity : spreads[input].Quantile((double)share / count), most = share == count - 1 ? double.PositiveInfinity : spreads[input].Quantile((share + 1.0) / count);
                Assert.InRange(sorted[share], least, most);
            }
        }
        Assert.Equal(points, LatinHypercube.Draw(spreads, count, seed));
        Assert.NotEqual(points, LatinHypercube.Draw(spreads, count, seed + 1));
    }

    /// <summary>Mean and deviation by integrating the quantiles, against the closed forms of the handbooks that the distributions give.</summary>
    [Fact]
    public void QuantilesHaveTheMeanAndDeviationThatTheDistributionStates()
    {
        const int steps = 200_000;
        foreach (var spread in spreads)
        {
            double[] values = [.. Enumerable.Range(0, steps).Select(step => spread.Quantile((step + 0.5) / steps))];
            double mean = values.Average(), deviation = Math.Sqrt(values.Average(value => (value - mean) * (value - mean)));
            Assert.Equal(spread.Mean, mean, 1e-4);
            Assert.Equal(spread.StandardDeviation, deviation, 1e-3);
        }
    }

    /// <summary>Worked values of Wilson's interval: 0 of 10 gives 0 to 0.2775, 5 of 10 gives 0.2366 to 0.7634 (both by hand from the formula).</summary>
    [Fact]
    public void WilsonsIntervalSaysSomethingWhereNothingWasSeen()
    {
        var (none, half) = (Exceedance.Of(0, 10), Exceedance.Of(5, 10));
        Assert.Equal((0, 0, 0.2775), (none.Probability, none.Low, Math.Round(none.High, 4)));
        Assert.Equal((0.2366, 0.7634), (Math.Round(half.Low, 4), Math.Round(half.High, 4)));
    }

    [Fact]
    public void BracketsCloseOnTheRootFromTheSafeSide()
    {
        int calls = 0;
        double Function(double x)
        {
            calls++;
            return Math.Exp(x) - 5;
        }
        var found = BracketedSearch.Root(Function, 0, Function(0), 4, Function(4), kelvin: 1e-6, width: 1e-12);
        Assert.InRange(found.Low, Math.Log(5) - 1e-6, Math.Log(5));
        Assert.InRange(calls, 3, 20);
        var whole = BracketedSearch.Root(x => 7.5 - x, 100, 7.5 - 100, 1, 6.5, kelvin: 0, width: 1, Math.Round);
        Assert.Equal(8, whole.Low);
        var beyond = BracketedSearch.Root(x => x < 3 ? x - 10 : double.PositiveInfinity, 0, -10, 8, double.PositiveInfinity, kelvin: 1e-3, width: 1e-3);
        Assert.InRange(beyond.Low, 2.99, 3);
    }
}
