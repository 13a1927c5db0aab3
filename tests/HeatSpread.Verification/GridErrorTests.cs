using HeatSpread.Boards;
using HeatSpread.Insight;
using HeatSpread.Thermal;
using HeatSpread.Verification.Support;
using Xunit;
using static HeatSpread.Verification.Support.Sketch;

namespace HeatSpread.Verification;

/// <summary>The grid error that an answer states, against the error it has.</summary>
public class GridErrorTests(CheckTable checks)
{
    private const double Finest = 0.0625 * Millimetre;

    /// <summary>The estimate bounds the error of the worst reported temperature (but for a small pad on bare laminate now and then), and is not far too wide in the middle of the lot.</summary>
    [Fact]
    public void TheEstimateBoundsTheError()
    {
        var ratios = new List<double>();
        foreach (var (name, board, conditions) in Boards())
        {
            var solver = new GridSolver(board, conditions, new SolveCapacity(2), progress: null, TestContext.Current.CancellationToken);
            var finest = solver.SolveWithError(Finest).Answer;
            foreach (double pitch in new[] { 1.0, 0.7, 0.5, 0.35, 0.25 })
            {
                var (answer, estimate) = solver.SolveWithError(pitch * Millimetre);
                double error = GridError.WorstDifference(board, answer.Field, finest.Field);
                double rise = finest.Field.RowCelsius.Max(row => row.Where(float.IsFinite).Max());
                ratios.Add(estimate / error);
                TestContext.Current.TestOutputHelper?.WriteLine($"{name}, pitch {pitch} mm: rise {rise:F2} K, error {error:F4} K, estimate {estimate:F4} K, ratio {estimate / error:F2}");
            }
        }
        ratios.Sort();
        Assert.True(ratios[0] >= 0.3, $"an estimate is only {ratios[0]:F2} times the error");
        Assert.True(ratios.Count(ratio => ratio < 1) <= ratios.Count / 12, $"{ratios.Count(ratio => ratio < 1)} of {ratios.Count} estimates are less than the error");
        checks.Absolute("stated grid error over true error, median of all boards and pitches", "the same boards at 0.0625 mm", "ratio, 1 to 5", 3, ratios[ratios.Count / 2], 2);
    }

    /// <summary>A small version of the calibration (benchmark <c>grid-error</c>): each temperature's own bound, on boards whose like the bound was calibrated on.</summary>
    [Fact]
    public void TheBoundOfEachTemperatureHoldsOnRandomBoards()
    {
        var capacity = new SolveCapacity(2);
        var samples = Enumerable.Range(1001, 6).SelectMany(seed => GridErrorSample.OfBoard(seed, capacity, TestContext.Current.CancellationToken)).ToArray();
        double[] ratios = [.. samples.Select(sample => sample.Ratio).Order()];
        double[] worst = [.. GridErrorSample.Worst(samples).Select(sample => sample.Ratio).Order()];
        TestContext.Current.TestOutputHelper?.WriteLine($"{ratios.Length} temperatures: {ratios.Count(ratio => ratio >= 1)} bounds hold, median {ratios[ratios.Length / 2]:F2}, least {ratios[0]:F2}; worst of boards: median {worst[worst.Length / 2]:F2}, least {worst[0]:F2}");
        Assert.True(ratios.Count(ratio => ratio >= 1) >= 0.9 * ratios.Length, $"{ratios.Count(ratio => ratio < 1)} of {ratios.Length} bounds are less than the error");
        Assert.True(worst.Count(ratio => ratio >= 1) >= 5, $"the bound of the worst fails on {worst.Count(ratio => ratio < 1)} of {worst.Length} boards");
        Assert.InRange(ratios[ratios.Length / 2], 1.5, 8);
    }

    private static IEnumerable<(string Name, Board Board, Conditions Conditions)> Boards()
    {
        var (everything, conditions) = SmallBoards.WithEverything();
        yield return ("board with everything", everything, conditions);

        var whole = Rectangle(0, 0, SmallBoards.Length, SmallBoards.Width);
        Part[] parts = [OnPad("Q1", Rectangle(4.1e-3, 5.2e-3, 6.3e-3, 7.9e-3), 1), OnPad("Q2", Rectangle(13.1e-3, 9e-3, 14e-3, 9.6e-3), 0.2)];
        var films = Surroundings(10, 10);
        yield return ("bare laminate", Board(whole, SmallBoards.Stack, parts: parts), films);
        yield return ("whole planes", Board(whole, SmallBoards.Stack, [Pour(whole, 0), Pour(whole, 1)], parts), films);
        yield return ("cut plane", Board(whole, SmallBoards.Stack, [Pour(whole, 0), Cut(new(9.4e-3, -1e-3), new(11.3e-3, 16e-3), 0.2e-3)], parts), films);
        yield return ("plane on the other side", Board(whole, SmallBoards.Stack, [Pour(whole, 1)], parts), films);
    }
}
