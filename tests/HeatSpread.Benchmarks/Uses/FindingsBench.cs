using System.Diagnostics;
using System.Globalization;
using System.Text.Json;
using HeatSpread.Boards;
using HeatSpread.Insight;
using HeatSpread.Thermal;

namespace HeatSpread.Benchmarks;

/// <summary>What the findings with five checked edits cost beside the solve that they are of: wall time, and processor time, which other work on the machine does not lengthen.</summary>
internal static class FindingsBench
{
    public static int Run(string layoutFile, string conditionsFile, string[] options)
    {
        double pitch = Option(options, "pitch", 0.17) * 1e-3;
        int repetitions = (int)Option(options, "reps", 3);
        var layout = LayoutReader.Read(File.ReadAllBytes(layoutFile)).Value ?? throw new InvalidDataException("The layout has faults.");
        var board = BoardBuilder.Build(layout).Value!;
        using var json = JsonDocument.Parse(File.ReadAllBytes(conditionsFile));
        var conditions = ConditionsReader.Read(json.RootElement, "", board, layout.Unit).Value ?? throw new InvalidDataException("The conditions have faults.");
        var capacity = new SolveCapacity(2);
        var plain = new Times();
        var findings = new Times();
        for (int i = 0; i <= repetitions; i++)
        {
            bool counts = i > 0; // the first one compiles
            var answer = plain.Measure(counts, () => Solve(board, conditions, pitch, capacity));
            using var trial = Solve(board, conditions, GridPitch.ForTrials(board, GridPitch.Series(board, pitch), pitch), capacity).Solved;
            var trialSolution = new GridSolution(0, trial!.Raster, trial.Read(), trial, 0, 0);
            double[] half = [.. board.Parts.Select(_ => 0.5)];
            var errors = new GridErrors(0.5, half, [], 0.5);
            var (found, edits) = findings.Measure(counts, () => new FindingSearch(board, conditions, answer, trialSolution, errors, capacity, CancellationToken.None).Run(5));
            answer.Solved!.Dispose();
            if (i == repetitions) Console.WriteLine(FormattableString.Invariant($"{answer.Field.Solve.Unknowns} unknowns, {found.Count} findings, {edits.Count} edits checked"));
        }
        Console.WriteLine(FormattableString.Invariant($"raster, assembly and solve: least {plain.LeastWall:F2} s wall, {plain.LeastProcessor:F2} s processor"));
        Console.WriteLine(FormattableString.Invariant($"findings:                   least {findings.LeastWall:F2} s wall, {findings.LeastProcessor:F2} s processor; ratio {findings.LeastWall / plain.LeastWall:F2} wall, {findings.LeastProcessor / plain.LeastProcessor:F2} processor"));
        return 0;
    }

    private static GridSolution Solve(Board board, Conditions conditions, double pitch, SolveCapacity capacity)
    {
        var raster = CopperRaster.Build(board, BoardGrid.Over(board.Outline.Bounds, pitch), CancellationToken.None);
        var solved = ThermalSolve.Run(board, conditions, raster, capacity, 1e-9, progress: null, CancellationToken.None);
        return new(pitch, raster, solved.Read(), solved, 0, 0);
    }

    private static double Option(string[] options, string name, double usual) =>
        options.FirstOrDefault(option => option.StartsWith(name + "=", StringComparison.Ordinal)) is { } given ? double.Parse(given[(name.Length + 1)..], CultureInfo.InvariantCulture) : usual;

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
