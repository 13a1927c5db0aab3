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
/// Eight small boards at once on shared cores (<c>what=solver</c>: their networks alone, set up and solved; <c>at-once=</c> fewer), against the same one after the other on one core, on each core in turn: a machine's cores are not equally fast, nor always the same, where others share them. The latter in a process of its own under <c>taskset</c>: holding this process to a core would hold its first thread alone, and the
/// rasters of the others would use all cores. At once means both the eight alone, whose end one of them spends by itself, and eight at any time, where the next begins as one ends. Beside it, what the machine itself allows: as many such processes at once as there are cores, each held to one and each with all boards, which share nothing but memory and caches.
/// </summary>
internal static class ThroughputBench
{
    private const int Boards = 8;
    private const int Times = 6;
    private const double WarmSeconds = 8;

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
            int[] all = [.. Enumerable.Range(0, cores)];
            if (Held(all, options) is not { } apart)
            {
                Console.Error.WriteLine("throughput: there is no taskset here to hold a process to one core");
                return 2;
            }

            Seconds[] alone = [.. all.SelectMany(core => Held([core], options)!)];
            void Together(int times)
            {
                unknowns = 0;
                int next = -1;
                Thread[] threads = [.. Enumerable.Range(0, atOnce).Select(_ => new Thread(() =>
                {
                    for (int k; (k = Interlocked.Increment(ref next)) < times * Boards;) Interlocked.Add(ref unknowns, solve(k % Boards, shared));
                }))];
                foreach (var thread in threads) thread.Start();
                foreach (var thread in threads) thread.Join();
            }

            var many = Medians(Math.Max(1, repetitions / 2), () => Together(Times));
            var together = Medians(repetitions, () => Together(1));
            rounds.Add(new(AtOnce(alone), together, new(many.Wall / Times, many.Processor / Times), AtOnce(apart)));
        }

        string Of(Func<Round, double> value)
        {
            double[] sorted = [.. rounds.Select(value).Order()];
            return FormattableString.Invariant($"{sorted[sorted.Length / 2]:0.00} ({sorted[0]:0.00} to {sorted[^1]:0.00})");
        }

        double Middle(Func<Round, double> value) => rounds.Select(value).Order().ElementAt(rounds.Count / 2);
        Console.WriteLine(FormattableString.Invariant($"{Boards} boards of {unknowns / Boards} unknowns, medians of {rounds.Count} rounds, s (processor s): at the rates of single cores, each alone, all added {Middle(r => r.Alone.Wall):0.000} ({Middle(r => r.Alone.Processor):0.000}), {atOnce} at once on {cores} cores {Middle(r => r.Together.Wall):0.000} ({Middle(r => r.Together.Processor):0.000}), {atOnce} at any time {Middle(r => r.Sustained.Wall):0.000} ({Middle(r => r.Sustained.Processor):0.000}), at the rates of {cores} processes of one core at once, each all boards, {Middle(r => r.Apart.Wall):0.000} ({Middle(r => r.Apart.Processor):0.000})"));
        Console.WriteLine($"throughput over the sum of single-thread rates: the {Boards} alone {Of(r => r.Alone.Wall / r.Together.Wall)} by wall time, {Of(r => r.Alone.Processor / r.Together.Processor)} by processor time; at any time {Of(r => r.Alone.Wall / r.Sustained.Wall)} and {Of(r => r.Alone.Processor / r.Sustained.Processor)}");
        Console.WriteLine($"the machine allows, in processes that share nothing but memory and caches: {Of(r => r.Alone.Wall / r.Apart.Wall)} by wall time, {Of(r => r.Alone.Processor / r.Apart.Processor)} by processor time; of that reached {Of(r => r.Apart.Wall / r.Sustained.Wall)} and {Of(r => r.Apart.Processor / r.Sustained.Processor)}");
        return 0;
    }

    private readonly record struct Seconds(double Wall, double Processor);

    /// <summary>Of all boards: at the rates of all cores, each alone, added; at once in one process; so many at any time; at the rates of as many processes as there are cores.</summary>
    private readonly record struct Round(Seconds Alone, Seconds Together, Seconds Sustained, Seconds Apart);

    /// <summary>What all boards would take at the sum of rates; of the processor's time the mean.</summary>
    private static Seconds AtOnce(Seconds[] each) => new(1 / each.Sum(one => 1 / one.Wall), each.Average(one => one.Processor));

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

    /// <summary>One after the other, in processes at once that are held to a core each: medians of each. Null where there is no taskset.</summary>
    private static Seconds[]? Held(int[] cores, string[] options)
    {
        try
        {
            Process[] children = [.. cores.Select(core => Start(core, options))];
            var medians = children.Select(child => child.StandardOutput.ReadToEnd().Split(' ', StringSplitOptions.TrimEntries)).ToList();
            foreach (var child in children)
            {
                child.WaitForExit();
                if (child.ExitCode != 0) throw new InvalidOperationException($"The process of one core ended with {child.ExitCode}.");
                child.Dispose();
            }

            return [.. medians.Select(values => new Seconds(double.Parse(values[0], CultureInfo.InvariantCulture), double.Parse(values[1], CultureInfo.InvariantCulture)))];
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
    private static Seconds Medians(int repetitions, Action action)
    {
        var process = Process.GetCurrentProcess();
        List<Seconds> taken = [];
        for (long start = Stopwatch.GetTimestamp(); Stopwatch.GetElapsedTime(start).TotalSeconds < WarmSeconds;) action();
        for (int k = 0; k < repetitions; k++)
        {
            process.Refresh();
            var before = process.TotalProcessorTime;
            double wall = Timing.Once(action);
            process.Refresh();
            taken.Add(new(wall, (process.TotalProcessorTime - before).TotalSeconds));
        }
        return new(taken.Select(t => t.Wall).Order().ElementAt(taken.Count / 2), taken.Select(t => t.Processor).Order().ElementAt(taken.Count / 2));
    }
}
