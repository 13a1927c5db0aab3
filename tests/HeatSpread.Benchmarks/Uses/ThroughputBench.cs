using System.Collections.Concurrent;
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
/// Eight small boards at once on shared cores (<c>what=solver</c>: their networks alone, set up and solved; <c>at-once=</c> fewer), against the same one after the other on one core, on each core in turn: a machine's cores are not equally fast, nor always the same, where others share them. The latter in processes of their own under <c>taskset</c>: holding this process to a core would hold its first thread alone, and the
/// rasters of the others would use all cores. They wait while others are measured, so that what is compared lies seconds apart. At once means both the eight alone, whose end one of them spends by itself, and eight at any time, where the next begins as one ends. Beside it, what the machine itself allows: these processes all at once, which share nothing but memory and caches.
/// </summary>
internal static class ThroughputBench
{
    private const int Boards = 8;
    private const int Times = 6;
    private const double WarmSeconds = 8;

    public static int Run(string[] options)
    {
        int cores = (int)Timing.Option(options, "cores", Environment.ProcessorCount), count = (int)Timing.Option(options, "rounds", 30), atOnce = (int)Timing.Option(options, "at-once", Boards);
        var boards = Enumerable.Range(1, Boards).Select(RandomBoard.Of).ToArray();
        var solve = options.Contains("what=solver") ? OfNetworks(boards, Timing.Option(options, "pitch", 0.25) * 1e-3) : OfBoards(boards, new GridChoice(Timing.Option(options, "pitch", 0.4) * 1e-3, null));
        if (options.Contains("part=held")) return ServeHeld(solve);
        var shared = new SolveCapacity(cores, cores);
        void Together(int times)
        {
            int next = -1;
            Thread[] threads = [.. Enumerable.Range(0, atOnce).Select(_ => new Thread(() =>
            {
                for (int k; (k = Interlocked.Increment(ref next)) < times * Boards;) solve(k % Boards, shared);
            }))];
            foreach (var thread in threads) thread.Start();
            foreach (var thread in threads) thread.Join();
        }

        List<HeldProcess> held = [];
        try
        {
            for (int core = 0; core < cores; core++) held.Add(new(core, options));
            foreach (var process in held) process.Warm();
            Warm(() => Together(1));
            List<Round> rounds = [];
            for (int round = 0; round < count; round++)
            {
                Seconds[] alone = [.. held.Select(process => process.Measure())];
                var together = Of(() => Together(1), Times);
                var sustained = PerTime(Of(() => Together(Times), 1));
                foreach (var process in held) process.Start();
                rounds.Add(new(AtOnce(alone), together, sustained, AtOnce([.. held.Select(process => process.End())])));
            }

            Print(rounds, Enumerable.Range(0, Boards).Sum(k => solve(k, shared)) / Boards, atOnce, cores);
            return 0;
        }
        catch (Win32Exception)
        {
            Console.Error.WriteLine("throughput: there is no taskset here to hold a process to one core");
            return 2;
        }
        finally
        {
            foreach (var process in held) process.Dispose();
        }
    }

    private readonly record struct Seconds(double Wall, double Processor);

    /// <summary>Of all boards: at the rates of all cores, each alone, added; at once in one process; so many at any time; at the rates of as many processes as there are cores.</summary>
    private readonly record struct Round(Seconds Alone, Seconds Together, Seconds Sustained, Seconds Apart);

    private static Seconds PerTime(Seconds all) => new(all.Wall / Times, all.Processor / Times);

    private static void Print(List<Round> rounds, int unknowns, int atOnce, int cores)
    {
        string Of(Func<Round, double> value) => Timing.Middle(rounds.Select(value), "0.00");
        double Middle(Func<Round, double> value) => rounds.Select(value).Order().ElementAt(rounds.Count / 2);
        Console.WriteLine(FormattableString.Invariant($"{Boards} boards of {unknowns} unknowns, medians of {rounds.Count} rounds, s (processor s): at the rates of single cores, each alone, all added {Middle(r => r.Alone.Wall):0.000} ({Middle(r => r.Alone.Processor):0.000}), {atOnce} at once on {cores} cores {Middle(r => r.Together.Wall):0.000} ({Middle(r => r.Together.Processor):0.000}), {atOnce} at any time {Middle(r => r.Sustained.Wall):0.000} ({Middle(r => r.Sustained.Processor):0.000}), at the rates of {cores} processes of one core at once, each all boards, {Middle(r => r.Apart.Wall):0.000} ({Middle(r => r.Apart.Processor):0.000})"));
        Console.WriteLine($"throughput over the sum of single-thread rates, in brackets the middle half of the rounds: the {Boards} alone {Of(r => r.Alone.Wall / r.Together.Wall)} by wall time, {Of(r => r.Alone.Processor / r.Together.Processor)} by processor time; at any time {Of(r => r.Alone.Wall / r.Sustained.Wall)} and {Of(r => r.Alone.Processor / r.Sustained.Processor)}, cores busy {Of(r => r.Sustained.Processor / r.Sustained.Wall / cores)}");
        Console.WriteLine($"the machine allows, in processes that share nothing but memory and caches: {Of(r => r.Alone.Wall / r.Apart.Wall)} by wall time, {Of(r => r.Alone.Processor / r.Apart.Processor)} by processor time; of that reached {Of(r => r.Apart.Wall / r.Sustained.Wall)} and {Of(r => r.Apart.Processor / r.Sustained.Processor)}");
    }

    /// <summary>What all boards would take at the sum of rates; of the processor's time what both together would take, if each does as much as it is fast.</summary>
    private static Seconds AtOnce(Seconds[] each) => new(1 / each.Sum(one => 1 / one.Wall), each.Length / each.Sum(one => 1 / one.Processor));

    /// <summary>Whole answers: rasters, the coarser grids of the grid's error, findings and all.</summary>
    private static Func<int, SolveCapacity, int> OfBoards((Board Board, Conditions Conditions)[] boards, GridChoice choice) =>
        (k, capacity) => BoardAnalysis.Analyse(boards[k].Board, boards[k].Conditions, choice, capacity, null, CancellationToken.None).Accuracy.Unknowns;

    /// <summary>The solver alone: set-up and solve of networks that are there already.</summary>
    private static Func<int, SolveCapacity, int> OfNetworks((Board Board, Conditions Conditions)[] boards, double pitch)
    {
        (ConductanceGrid Grid, double[] Heat)[] networks = [.. boards.Select(board => SolverUsesBench.Network(board.Board, board.Conditions, CopperRaster.Build(board.Board, BoardGrid.Over(board.Board.Outline.Bounds, pitch), CancellationToken.None)))];
        // Each board has a field of its own, or more where several are at it: fresh ones would show how fast the system hands out memory.
        ConcurrentBag<double[]>[] fields = [.. networks.Select(_ => new ConcurrentBag<double[]>())];
        return (k, capacity) =>
        {
            var (grid, heat) = networks[k];
            if (!fields[k].TryTake(out var field)) field = new double[heat.Length];
            Array.Clear(field);
            using (var solver = MultigridSolver.Prepare(grid, capacity.Resources, CancellationToken.None)) solver.Solve(heat, field, new SolveSettings(1e-8), progress: null, CancellationToken.None);
            fields[k].Add(field);
            return grid.CellCount;
        };
    }

    /// <summary>For some seconds that do not count, until the compiler has done with what is called often.</summary>
    private static void Warm(Action action)
    {
        for (long start = Stopwatch.GetTimestamp(); Stopwatch.GetElapsedTime(start).TotalSeconds < WarmSeconds;) action();
    }

    /// <summary>Of one time among so many.</summary>
    private static Seconds Of(Action action, int times)
    {
        GC.Collect();
        using var process = Process.GetCurrentProcess();
        var before = process.TotalProcessorTime;
        var start = Stopwatch.GetTimestamp();
        for (int k = 0; k < times; k++) action();
        double wall = Stopwatch.GetElapsedTime(start).TotalSeconds;
        process.Refresh();
        return new(wall / times, (process.TotalProcessorTime - before).TotalSeconds / times);
    }

    /// <summary>Of a process that is held to one core: after it is warm, one measurement for each line that it reads.</summary>
    private static int ServeHeld(Func<int, SolveCapacity, int> solve)
    {
        const int Twice = 2;
        var single = new SolveCapacity(1);
        void All()
        {
            for (int k = 0; k < Boards; k++) solve(k, single);
        }

        Warm(All);
        do
        {
            var taken = Of(All, Twice);
            Console.WriteLine(string.Create(CultureInfo.InvariantCulture, $"{taken.Wall} {taken.Processor}"));
        }
        while (Console.ReadLine() != null);
        return 0;
    }

    private sealed class HeldProcess : IDisposable
    {
        private readonly Process _process;

        public HeldProcess(int core, string[] options)
        {
            string[] arguments = ["-c", core.ToString(CultureInfo.InvariantCulture), Environment.ProcessPath ?? "dotnet", .. Environment.ProcessPath is { } path && Path.GetFileNameWithoutExtension(path) == "dotnet" ? [typeof(ThroughputBench).Assembly.Location] : Array.Empty<string>(), "throughput", "part=held", .. options];
            _process = Process.Start(new ProcessStartInfo("taskset", arguments) { RedirectStandardInput = true, RedirectStandardOutput = true })!;
        }

        /// <summary>Waits until it is warm.</summary>
        public void Warm() => End();

        public Seconds Measure()
        {
            Start();
            return End();
        }

        public void Start() => _process.StandardInput.WriteLine();

        public Seconds End()
        {
            string line = _process.StandardOutput.ReadLine() ?? throw new InvalidOperationException("The process of one core has ended.");
            double[] values = [.. line.Split(' ').Select(value => double.Parse(value, CultureInfo.InvariantCulture))];
            return new(values[0], values[1]);
        }

        public void Dispose()
        {
            _process.StandardInput.Close(); // at which it ends
            _process.WaitForExit();
            _process.Dispose();
        }
    }
}
