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
        var alone = Timing.Of(repetitions, InTurn);
        var together = Timing.Of(repetitions, AtOnce);
        Console.WriteLine(FormattableString.Invariant($"{Boards} boards of {unknowns / Boards} unknowns on {cores} cores, least (median) s: in turn with one thread {alone.Least:0.000} ({alone.Median:0.000}), at once {together.Least:0.000} ({together.Median:0.000})"));
        Console.WriteLine(FormattableString.Invariant($"throughput over cores times the single-thread rate: {alone.Least / together.Least / cores:0.00} by the least, {alone.Median / together.Median / cores:0.00} by the medians"));
        return 0;
    }
}
