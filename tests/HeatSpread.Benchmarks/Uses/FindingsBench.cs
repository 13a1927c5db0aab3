using System.Diagnostics;
using HeatSpread.Boards;
using HeatSpread.Insight;
using HeatSpread.Insight.Comparison;
using HeatSpread.Thermal;

namespace HeatSpread.Benchmarks;

/// <summary>
/// What the findings of the demo's cut board with five checked edits, and the ledger of the pair, cost beside the plain solve: wall time, and processor time, which other work on the machine lengthens less.
/// </summary>
internal static class FindingsBench
{
    /// <param name="options"><c>pitch=</c> mm, <c>threads=</c>, <c>reps=</c>.</param>
    public static int Run(string[] options)
    {
        double pitch = Timing.Option(options, "pitch", 0.17) * 1e-3;
        int repetitions = (int)Timing.Option(options, "reps", 5);
        var capacity = new SolveCapacity((int)Timing.Option(options, "threads", 2));
        var (board, conditions) = DemoBoard.Read("demo-cut.json");
        var (unbroken, _) = DemoBoard.Read("demo-unbroken.json");
        using var baseline = Solve(unbroken, conditions, pitch, capacity).Solved!;
        double[] half = [.. board.Parts.Select(_ => 0.5)];
        var errors = new GridErrors(0.5, half, [], 0.5);
        Times plain = new(), findings = new(), ledger = new();
        for (int i = 0; i <= repetitions; i++)
        {
            bool counts = i > 0; // the first one compiles
            var answer = plain.Measure(counts, () => Solve(board, conditions, pitch, capacity));
            using var trial = Solve(board, conditions, GridPitch.ForTrials(board, GridPitch.Series(board, pitch), pitch), capacity).Solved;
            var trialSolution = new GridSolution(0, trial!.Raster, trial.Read(), trial, 0, 0);
            var (found, edits) = findings.Measure(counts, () => new FindingSearch(board, conditions, answer, trialSolution, errors, capacity, CancellationToken.None).Run(BoardAnalysis.UsualChecks));
            var comparison = ledger.Measure(counts, () => BoardComparison.Of(baseline, answer.Solved!, ["U1"], new Dictionary<string, double> { ["U1"] = 0.5 }, CancellationToken.None));
            answer.Solved!.Dispose();
            if (i == repetitions) Console.WriteLine(FormattableString.Invariant($"{answer.Field.Solve.Unknowns} unknowns, {found.Count} findings, {edits.Count} edits checked, {comparison.Ledger[0].Entries.Count} entries; least of {repetitions}"));
        }
        Console.WriteLine("                                s wall  s processor  ratio wall  ratio processor");
        Row("raster, assembly and solve", plain.LeastWall, plain.LeastProcessor);
        Row("findings, five checked edits", findings.LeastWall, findings.LeastProcessor);
        Row("ledger of one part", ledger.LeastWall, ledger.LeastProcessor);
        Row("findings, edits and ledger", findings.LeastWall + ledger.LeastWall, findings.LeastProcessor + ledger.LeastProcessor);
        return 0;

        void Row(string what, double wall, double processor) =>
            Console.WriteLine(FormattableString.Invariant($"{what,-29} {wall,8:F2} {processor,12:F2} {wall / plain.LeastWall,11:F2} {processor / plain.LeastProcessor,16:F2}"));
    }

    private static GridSolution Solve(Board board, Conditions conditions, double pitch, SolveCapacity capacity)
    {
        var raster = CopperRaster.Build(board, BoardGrid.Over(board.Outline.Bounds, pitch), CancellationToken.None);
        var solved = ThermalSolve.Run(board, conditions, raster, capacity, ThermalSolve.Tolerance, progress: null, CancellationToken.None);
        return new(pitch, raster, solved.Read(), solved, 0, 0);
    }

    private sealed class Times
    {
        public double LeastWall { get; private set; } = double.PositiveInfinity;

        public double LeastProcessor { get; private set; } = double.PositiveInfinity;

        public T Measure<T>(bool counts, Func<T> work)
        {
            using var process = Process.GetCurrentProcess();
            var (start, before) = (Stopwatch.GetTimestamp(), process.TotalProcessorTime);
            var result = work();
            double wall = Stopwatch.GetElapsedTime(start).TotalSeconds;
            process.Refresh();
            if (!counts) return result;
            (LeastWall, LeastProcessor) = (Math.Min(LeastWall, wall), Math.Min(LeastProcessor, (process.TotalProcessorTime - before).TotalSeconds));
            return result;
        }
    }
}
