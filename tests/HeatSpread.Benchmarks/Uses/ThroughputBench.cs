using System.ComponentModel;
using System.Diagnostics;
using System.Globalization;
using HeatSpread.Boards;
using HeatSpread.Insight;
using HeatSpread.Solver;
using HeatSpread.Thermal;
using HeatSpread.Verification.Support;

namespace HeatSpread.Benchmarks;

/// <summary>
/// Eight small boards at once on shared cores (<c>what=solver</c>: their networks alone, set up and solved; <c>at-once=</c> fewer), against the same one after the other on one core. The latter in a process of its own under <c>taskset -c 0</c>: holding this process to a core would hold its first thread alone, and the
/// rasters of the others would use all cores. Beside it, what the machine itself allows: as many such processes at once as there are cores, each held to one and each with all boards, which share nothing but memory and caches.
/// </summary>
internal static class ThroughputBench
{
    private const int Boards = 8;
    private const double WarmSeconds = 3;

    public static int Run(string[] options)
    {
        int cores = (int)Timing.Option(options, "cores", Environment.ProcessorCount), repetitions = (int)Timing.Option(options, "reps", 5);
        var boards = Enumerable.Range(1, Boards).Select(RandomBoard.Of).ToArray();
        var solve = options.Contains("what=solver") ? OfNetworks(boards, Timing.Option(options, "pitch", 0.25) * 1e-3) : OfBoards(boards, new GridChoice(Timing.Option(options, "pitch", 0.4) * 1e-3, null));
        if (options.Contains("part=alone"))
        {
            var single = new SolveCapacity(1);
            var (wall, processor) = Medians(repetitions, () =>
            {
                for (int k = 0; k < Boards; k++) solve(k, single);
            });
            Console.WriteLine(string.Create(CultureInfo.InvariantCulture, $"{wall} {processor}"));
            return 0;
        }

        int unknowns = 0, atOnce = (int)Timing.Option(options, "at-once", Boards);
        var shared = new SolveCapacity(cores, cores);
        List<Round> rounds = [];
        for (int round = 0, count = (int)Timing.Option(options, "rounds", 5); round < count; round++)
        {
            if (Apart(1, options) is not { } alone || Apart(cores, options) is not { } apart)
            {
                Console.Error.WriteLine("throughput: there is no taskset here to hold a process to one core");
                return 2;
            }

            var together = Medians(repetitions, () =>
            {
                unknowns = 0;
                int next = -1;
                Thread[] threads = [.. Enumerable.Range(0, atOnce).Select(_ => new Thread(() =>
                {
                    for (int k; (k = Interlocked.Increment(ref next)) < Boards;) Interlocked.Add(ref unknowns, solve(k, shared));
                }))];
                foreach (var thread in threads) thread.Start();
                foreach (var thread in threads) thread.Join();
            });
            rounds.Add(new(alone, together, apart));
        }

        string Of(Func<Round, double> value)
        {
            double[] sorted = [.. rounds.Select(value).Order()];
            return FormattableString.Invariant($"{sorted[sorted.Length / 2]:0.00} ({sorted[0]:0.00} to {sorted[^1]:0.00})");
        }

        double Middle(Func<Round, double> value) => rounds.Select(value).Order().ElementAt(rounds.Count / 2);
        Console.WriteLine(FormattableString.Invariant($"{Boards} boards of {unknowns / Boards} unknowns, medians of {rounds.Count} rounds, s (processor s): in turn on one core {Middle(r => r.Alone.Wall):0.000} ({Middle(r => r.Alone.Processor):0.000}), {atOnce} at once on {cores} cores {Middle(r => r.Together.Wall):0.000} ({Middle(r => r.Together.Processor):0.000}), in {cores} processes of one core at once, each all boards, {Middle(r => r.Apart.Wall):0.000} ({Middle(r => r.Apart.Processor):0.000})"));
        Console.WriteLine($"throughput over cores times the single-thread rate: {Of(r => r.Alone.Wall / r.Together.Wall / cores)} by wall time, {Of(r => r.Alone.Processor / r.Together.Processor)} by processor time");
        Console.WriteLine($"the machine allows, in processes that share nothing but memory and caches: {Of(r => r.Alone.Wall / r.Apart.Wall)} by wall time, {Of(r => r.Alone.Processor / r.Apart.Processor)} by processor time; of that reached {Of(r => r.Apart.Wall / r.Together.Wall / cores)} and {Of(r => r.Apart.Processor / r.Together.Processor)}");
        return 0;
    }

    /// <summary>Seconds of all boards in one process of one core, at once in one process, and in as many processes as there are cores.</summary>
    private readonly record struct Round((double Wall, double Processor) Alone, (double Wall, double Processor) Together, (double Wall, double Processor) Apart);

    /// <summary>Whole answers: rasters, the coarser grids of the grid's error, findings and all.</summary>
    private static Func<int, SolveCapacity, int> OfBoards((Board Board, Conditions Conditions)[] boards, GridChoice choice) =>
        (k, capacity) => BoardAnalysis.Analyse(boards[k].Board, boards[k].Conditions, choice, capacity, null, CancellationToken.None).Accuracy.Unknowns;

    /// <summary>The solver alone: set-up and solve of networks that are there already.</summary>
    private static Func<int, SolveCapacity, int> OfNetworks((Board Board, Conditions Conditions)[] boards, double pitch)
    {
        (ConductanceGrid Grid, double[] Heat)[] networks = [.. boards.Select(board => SolverUsesBench.Network(board.Board, board.Conditions, CopperRaster.Build(board.Board, BoardGrid.Over(board.Board.Outline.Bounds, pitch), CancellationToken.None)))];
        return (k, capacity) =>
        {
            var (grid, heat) = networks[k];
            using var solver = MultigridSolver.Prepare(grid, capacity.Resources, CancellationToken.None);
            solver.Solve(heat, new double[heat.Length], new SolveSettings(1e-8), progress: null, CancellationToken.None);
            return grid.CellCount;
        };
    }

    /// <summary>In turn, in processes of one core each, so many at once; means of their medians. Null where there is no taskset.</summary>
    private static (double Wall, double Processor)? Apart(int processes, string[] options)
    {
        try
        {
            Process[] children = [.. Enumerable.Range(0, processes).Select(core => Start(core, options))];
            var medians = children.Select(child => child.StandardOutput.ReadToEnd().Split(' ', StringSplitOptions.TrimEntries)).ToList();
            foreach (var child in children)
            {
                child.WaitForExit();
                if (child.ExitCode != 0) throw new InvalidOperationException($"The process of one core ended with {child.ExitCode}.");
                child.Dispose();
            }

            double Mean(int column) => medians.Average(values => double.Parse(values[column], CultureInfo.InvariantCulture));
            return (Mean(0), Mean(1));
        }
        catch (Win32Exception)
        {
            return null;
        }
    }

    private static Process Start(int core, string[] options)
    {
        string[] arguments = ["-c", core.ToString(CultureInfo.InvariantCulture), Environment.ProcessPath ?? "dotnet", .. Environment.ProcessPath is { } path && Path.GetFileNameWithoutExtension(path) == "dotnet" ? [typeof(ThroughputBench).Assembly.Location] : Array.Empty<string>(), "throughput", "part=alone", .. options];
        return Process.Start(new ProcessStartInfo("taskset", arguments) { RedirectStandardOutput = true })!;
    }

    /// <summary>After some seconds that do not count, until the compiler has done with what is called often.</summary>
    private static (double Wall, double Processor) Medians(int repetitions, Action action)
    {
        var process = Process.GetCurrentProcess();
        List<(double Wall, double Processor)> taken = [];
        for (long start = Stopwatch.GetTimestamp(); Stopwatch.GetElapsedTime(start).TotalSeconds < WarmSeconds;) action();
        for (int k = 0; k < repetitions; k++)
        {
            process.Refresh();
            var before = process.TotalProcessorTime;
            double wall = Timing.Once(action);
            process.Refresh();
            taken.Add((wall, (process.TotalProcessorTime - before).TotalSeconds));
        }
        return (taken.Select(t => t.Wall).Order().ElementAt(taken.Count / 2), taken.Select(t => t.Processor).Order().ElementAt(taken.Count / 2));
    }
}
