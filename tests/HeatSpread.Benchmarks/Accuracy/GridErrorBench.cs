using HeatSpread.Thermal;
using HeatSpread.Verification.Support;

namespace HeatSpread.Benchmarks;

/// <summary>The stated bounds on the grid error of random boards against the errors they have: statistics, and a plot.</summary>
internal static class GridErrorBench
{
    public static int Run(string[] options)
    {
        int boards = (int)Timing.Option(options, "boards", 100), first = (int)Timing.Option(options, "first", 1), threads = (int)Timing.Option(options, "threads", 2);
        var capacity = new SolveCapacity(threads);
        var samples = new List<GridErrorSample>();
        for (int seed = first; seed < first + boards; seed++)
        {
            samples.AddRange(GridErrorSample.OfBoard(seed, capacity, CancellationToken.None));
            if (seed % 10 == 0) Console.Error.WriteLine($"board {seed}");
        }
        var worst = GridErrorSample.Worst(samples);
        Console.WriteLine("| reading | number | bound holds % | bound over error: least | 5 of 100 are below | median | 95 of 100 are below |");
        Console.WriteLine("| --- | ---: | ---: | ---: | ---: | ---: | ---: |");
        foreach (var kind in samples.GroupBy(sample => sample.Kind).OrderBy(of => of.Key, StringComparer.Ordinal)) Print(kind.Key, [.. kind]);
        Print("all temperatures", samples);
        Print("worst of a board", worst);
        var low = samples.OrderBy(sample => sample.Ratio).First();
        Console.WriteLine(FormattableString.Invariant($"\nleast: board {low.Board} {low.Reading} ({low.Kind}): bound {low.BoundKelvin:0.000} K, error {low.ErrorKelvin:0.000} K"));
        if (options.FirstOrDefault(option => option.StartsWith("plot=", StringComparison.Ordinal)) is { } plot) File.WriteAllText(plot["plot=".Length..], ScatterPlot.Of(samples, worst));
        return 0;
    }

    private static void Print(string name, IReadOnlyList<GridErrorSample> samples)
    {
        double[] ratios = [.. samples.Select(sample => sample.Ratio).Order()];
        double At(double share) => ratios[(int)(share * (ratios.Length - 1))];
        Console.WriteLine(FormattableString.Invariant(
            $"| {name} | {ratios.Length} | {100.0 * ratios.Count(ratio => ratio >= 1) / ratios.Length:0.0} | {ratios[0]:0.00} | {At(0.05):0.00} | {At(0.5):0.00} | {At(0.95):0} |"));
    }
}
