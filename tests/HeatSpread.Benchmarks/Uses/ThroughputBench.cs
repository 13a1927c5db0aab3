using System.Diagnostics;
using HeatSpread.Insight;
using HeatSpread.Thermal;
using HeatSpread.Verification.Support;

namespace HeatSpread.Benchmarks;

/// <summary>Eight small boards at once on shared cores, against the same one after the other with one thread.</summary>
internal static class ThroughputBench
{
    private const int Boards = 8;

    public static int Run(string[] options)
    {
        int cores = (int)Timing.Option(options, "cores", Environment.ProcessorCount), repetitions = (int)Timing.Option(options, "reps", 7);
        var boards = Enumerable.Range(1, Boards).Select(RandomBoard.Of).ToArray();
        var choice = new GridChoice(Timing.Option(options, "pitch", 0.4) * 1e-3, null);
        var single = new SolveCapacity(1);
        var shared = new SolveCapacity(cores, cores);
        int unknowns = 0;
        BoardSolution Solve(int k, SolveCapacity capacity) => BoardAnalysis.Analyse(boards[k].Board, boards[k].Conditions, choice, capacity, null, CancellationToken.None);
        void InTurn()
        {
            unknowns = 0;
            for (int k = 0; k < Boards; k++) unknowns += Solve(k, single).Accuracy.Unknowns;
        }
        void AtOnce()
        {
            Thread[] threads = [.. Enumerable.Range(0, Boards).Select(k => new Thread(() => Solve(k, shared)))];
            foreach (var thread in threads) thread.Start();
            foreach (var thread in threads) thread.Join();
        }
        if (!OperatingSystem.IsLinux() && !OperatingSystem.IsWindows())
        {
            Console.Error.WriteLine("throughput: this system does not let a process be held to one core");
            return 2;
        }

        var process = Process.GetCurrentProcess();
        var all = process.ProcessorAffinity;
        (double Wall, double Processor) Once(Action action)
        {
            var before = process.TotalProcessorTime;
            double wall = Timing.Once(action);
            process.Refresh();
            return (wall, (process.TotalProcessorTime - before).TotalSeconds);
        }
        List<(double Wall, double Processor)> alone = [], together = [];
        for (int k = 0; k <= repetitions; k++) // in turn, so that what else the machine does falls on both
        {
            process.ProcessorAffinity = 1;
            var one = Once(InTurn);
            process.ProcessorAffinity = all;
            var eight = Once(AtOnce);
            if (k == 0) continue;
            alone.Add(one);
            together.Add(eight);
        }
        static double Median(IEnumerable<double> values) => values.Order().ElementAt(values.Count() / 2);
        double aloneWall = Median(alone.Select(a => a.Wall)), atOnceWall = Median(together.Select(t => t.Wall));
        double aloneProcessor = Median(alone.Select(a => a.Processor)), atOnceProcessor = Median(together.Select(t => t.Processor));
        Console.WriteLine(FormattableString.Invariant($"{Boards} boards of {unknowns / Boards} unknowns, median s (processor s): in turn on one core {aloneWall:0.000} ({aloneProcessor:0.000}), at once on {cores} cores {atOnceWall:0.000} ({atOnceProcessor:0.000})"));
        Console.WriteLine(FormattableString.Invariant($"throughput over cores times the single-thread rate: {aloneWall / atOnceWall / cores:0.00} by wall time, {aloneProcessor / atOnceProcessor:0.00} by processor time"));
        return 0;
    }
}
