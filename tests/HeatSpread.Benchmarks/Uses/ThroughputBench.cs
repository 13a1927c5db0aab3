using System.ComponentModel;
using System.Diagnostics;
using System.Globalization;
using HeatSpread.Insight;
using HeatSpread.Thermal;
using HeatSpread.Verification.Support;

namespace HeatSpread.Benchmarks;

/// <summary>
/// Eight small boards at once on shared cores, against the same one after the other on one core. The latter in a process of its own under <c>taskset -c 0</c>: holding this process to a core would hold its first thread alone, and the
/// rasters of the others would use all cores.
/// </summary>
internal static class ThroughputBench
{
    private const int Boards = 8;

    public static int Run(string[] options)
    {
        int cores = (int)Timing.Option(options, "cores", Environment.ProcessorCount), repetitions = (int)Timing.Option(options, "reps", 7);
        var boards = Enumerable.Range(1, Boards).Select(RandomBoard.Of).ToArray();
        var choice = new GridChoice(Timing.Option(options, "pitch", 0.4) * 1e-3, null);
        int Solve(int k, SolveCapacity capacity) => BoardAnalysis.Analyse(boards[k].Board, boards[k].Conditions, choice, capacity, null, CancellationToken.None).Accuracy.Unknowns;
        if (options.Contains("part=alone"))
        {
            var single = new SolveCapacity(1);
            var (wall, processor) = Medians(repetitions, () =>
            {
                for (int k = 0; k < Boards; k++) Solve(k, single);
            });
            Console.WriteLine(string.Create(CultureInfo.InvariantCulture, $"{wall} {processor}"));
            return 0;
        }

        if (Alone(options) is not { } alone)
        {
            Console.Error.WriteLine("throughput: there is no taskset here to hold a process to one core");
            return 2;
        }

        int unknowns = 0;
        var shared = new SolveCapacity(cores, cores);
        var together = Medians(repetitions, () =>
        {
            unknowns = 0;
            Thread[] threads = [.. Enumerable.Range(0, Boards).Select(k => new Thread(() => Interlocked.Add(ref unknowns, Solve(k, shared))))];
            foreach (var thread in threads) thread.Start();
            foreach (var thread in threads) thread.Join();
        });
        Console.WriteLine(FormattableString.Invariant($"{Boards} boards of {unknowns / Boards} unknowns, median s (processor s): in turn on one core {alone.Wall:0.000} ({alone.Processor:0.000}), at once on {cores} cores {together.Wall:0.000} ({together.Processor:0.000})"));
        Console.WriteLine(FormattableString.Invariant($"throughput over cores times the single-thread rate: {alone.Wall / together.Wall / cores:0.00} by wall time, {alone.Processor / together.Processor:0.00} by processor time"));
        return 0;
    }

    /// <summary>In turn, in a process of one core; null where there is no taskset.</summary>
    private static (double Wall, double Processor)? Alone(string[] options)
    {
        string[] arguments = ["-c", "0", Environment.ProcessPath ?? "dotnet", .. Environment.ProcessPath is { } path && Path.GetFileNameWithoutExtension(path) == "dotnet" ? [typeof(ThroughputBench).Assembly.Location] : Array.Empty<string>(), "throughput", "part=alone", .. options];
        try
        {
            using var child = Process.Start(new ProcessStartInfo("taskset", arguments) { RedirectStandardOutput = true })!;
            var values = child.StandardOutput.ReadToEnd().Split(' ', StringSplitOptions.TrimEntries);
            child.WaitForExit();
            if (child.ExitCode != 0) throw new InvalidOperationException($"The process of one core ended with {child.ExitCode}.");
            return (double.Parse(values[0], CultureInfo.InvariantCulture), double.Parse(values[1], CultureInfo.InvariantCulture));
        }
        catch (Win32Exception)
        {
            return null;
        }
    }

    /// <summary>After one that does not count.</summary>
    private static (double Wall, double Processor) Medians(int repetitions, Action action)
    {
        var process = Process.GetCurrentProcess();
        List<(double Wall, double Processor)> taken = [];
        for (int k = 0; k <= repetitions; k++)
        {
            process.Refresh();
            var before = process.TotalProcessorTime;
            double wall = Timing.Once(action);
            process.Refresh();
            if (k > 0) taken.Add((wall, (process.TotalProcessorTime - before).TotalSeconds));
        }
        return (taken.Select(t => t.Wall).Order().ElementAt(taken.Count / 2), taken.Select(t => t.Processor).Order().ElementAt(taken.Count / 2));
    }
}
