using System.Diagnostics;
using System.Globalization;
using HeatSpread.Insight;
using HeatSpread.Insight.Comparison;
using HeatSpread.Thermal;

namespace HeatSpread.Benchmarks;

/// <summary>What the ledger of the demo pair, the influence matrix and a benefit map cost against the plain solve.</summary>
internal static class LedgerBench
{
    /// <param name="options"><c>pitch=</c> mm, <c>threads=</c>, <c>reps=</c>.</param>
    public static int Run(string[] options)
    {
        double pitch = Timing.Option(options, "pitch", 0.17) * 1e-3;
        int threads = (int)Timing.Option(options, "threads", 2), repetitions = (int)Timing.Option(options, "reps", 3);
        var (baseline, solveSeconds) = Least(repetitions, () => Solve("demo-unbroken.json", pitch, threads));
        var candidate = Solve("demo-cut.json", pitch, threads);
        var exact = new Dictionary<string, double>();
        int part = candidate.Board.Parts.ToList().FindIndex(p => p.Id == "U1"), layer = 0;
        var (comparison, ledgerSeconds) = Least(repetitions, () => BoardComparison.Of(baseline, candidate, ["U1"], exact, CancellationToken.None));
        var (_, twoSeconds) = Least(repetitions, () => BoardComparison.Of(baseline, candidate, ["U1", "L10"], exact, CancellationToken.None));
        var (_, benefitSeconds) = Least(repetitions, () => BenefitMap.Of(candidate, layer, candidate.Adjoint(candidate.HottestOf(part), CancellationToken.None), CancellationToken.None));
        var (_, influenceSeconds) = Least(repetitions, () => InfluenceMatrix.Of(candidate, [.. Enumerable.Range(0, candidate.Board.Parts.Count)], CancellationToken.None));
        Console.WriteLine(string.Create(CultureInfo.InvariantCulture, $"{baseline.Figures.Unknowns} unknowns, {threads} threads, least of {repetitions}; seconds and multiples of the plain solve (raster, network, solve)"));
        Row("plain solve", solveSeconds);
        Row("ledger of one part", ledgerSeconds);
        Row("ledger of two parts", twoSeconds);
        Row("benefit map of one layer", benefitSeconds);
        Row($"influence matrix of {candidate.Board.Parts.Count} parts", influenceSeconds);
        var ledger = comparison.Ledger[0];
        Console.WriteLine(string.Create(CultureInfo.InvariantCulture, $"sum of entries less difference: {ledger.Entries.Sum(entry => entry.Kelvin) - ledger.DeltaKelvin:g2} K of {ledger.DeltaKelvin:f3} K"));
        return 0;

        void Row(string what, double seconds) => Console.WriteLine(string.Create(CultureInfo.InvariantCulture, $"{what,-34} {seconds,8:f2} {seconds / solveSeconds,8:f2}"));
    }

    private static SolvedNetwork Solve(string file, double pitch, int threads)
    {
        var (board, conditions) = DemoBoard.Read(file);
        var raster = CopperRaster.Build(board, BoardGrid.Over(board.Outline.Bounds, pitch), CancellationToken.None);
        return ThermalSolve.Run(board, conditions, raster, threads, progress: null, CancellationToken.None);
    }

    private static (T Result, double Seconds) Least<T>(int repetitions, Func<T> work)
    {
        var (result, least) = (default(T)!, double.PositiveInfinity);
        for (int repetition = 0; repetition < repetitions; repetition++)
        {
            long start = Stopwatch.GetTimestamp();
            result = work();
            least = Math.Min(least, Stopwatch.GetElapsedTime(start).TotalSeconds);
        }
        return (result, least);
    }
}
