using System.Diagnostics;
using HeatSpread.Solver;

namespace HeatSpread.Benchmarks;

/// <summary>
/// What more threads give one system: set-up and solve with one thread and with several in turn, in one process, so that what else the machine does meets both alike. Beside it what the machine itself allows:
/// as many threads with a system each, which share nothing but memory, caches and the collector. It is no bound: one system shared takes less of the caches than several.
/// </summary>
internal static class ScalingBench
{
    private const double WarmSeconds = 6;

    private readonly record struct Seconds(double Setup, double Solve)
    {
        public double Total => Setup + Solve;
    }

    private readonly record struct Round(Seconds Single, Seconds Shared, Seconds[] Apart);

    public static int Run(string path, string[] options)
    {
        int threads = (int)Timing.Option(options, "threads", 2), count = (int)Timing.Option(options, "rounds", 40);
        var settings = new SolveSettings(Timing.Option(options, "tol", 1e-8));
        var systems = Enumerable.Range(0, threads).Select(_ => Read(path)).ToArray();
        if (count < 1 || threads < 1 || ThreadTeam.Useful(threads, systems[0].Grid.CellCount) < threads)
        {
            Console.Error.WriteLine($"scaling: at least one round, and a system that is large enough for {threads} threads");
            return 2;
        }

        SolverResources[] alone = [.. systems.Select(_ => new SolverResources(1))];
        var shared = new SolverResources(threads);
        Round Take()
        {
            // One thread before and after the others: a machine's rate drifts.
            GC.Collect();
            var before = Once(systems[0], alone[0], settings);
            var together = Once(systems[0], shared, settings);
            var apart = AtOnce(threads, k => Once(systems[k], alone[k], settings));
            var after = Once(systems[0], alone[0], settings);
            return new(new((before.Setup + after.Setup) / 2, (before.Solve + after.Solve) / 2), together, apart);
        }

        for (var warm = Stopwatch.StartNew(); warm.Elapsed.TotalSeconds < WarmSeconds;) Take();
        Print(threads, systems[0].Heat.Length, [.. Enumerable.Range(0, count).Select(_ => Take())]);
        return 0;
    }

    private static (ConductanceGrid Grid, double[] Heat, double[] Temperature) Read(string path)
    {
        var file = SystemFile.Read(path);
        var (grid, unknownOfCell) = file.ToGrid();
        return (grid, Array.ConvertAll(unknownOfCell, u => file.Rhs[u]), new double[grid.CellCount]);
    }

    private static Seconds Once((ConductanceGrid Grid, double[] Heat, double[] Temperature) system, SolverResources resources, SolveSettings settings)
    {
        Array.Clear(system.Temperature);
        var start = Stopwatch.GetTimestamp();
        using var solver = MultigridSolver.Prepare(system.Grid, resources, CancellationToken.None);
        var setup = Stopwatch.GetElapsedTime(start).TotalSeconds;
        var report = solver.Solve(system.Heat, system.Temperature, settings, null, CancellationToken.None);
        if (report.Status != SolveStatus.Converged) throw new InvalidOperationException($"The system is {report.Status}.");
        return new(setup, Stopwatch.GetElapsedTime(start).TotalSeconds - setup);
    }

    private static Seconds[] AtOnce(int threads, Func<int, Seconds> work)
    {
        var taken = new Seconds[threads];
        using var start = new Barrier(threads);
        Thread[] all = [.. Enumerable.Range(0, threads).Select(k => new Thread(() =>
        {
            start.SignalAndWait();
            taken[k] = work(k);
        }))];
        foreach (var thread in all) thread.Start();
        foreach (var thread in all) thread.Join();
        return taken;
    }

    private static void Print(int threads, int unknowns, Round[] rounds)
    {
        string Middle(Func<Round, double> value, string format) => Timing.Middle(rounds.Select(value), format);
        void Line(string what, Func<Seconds, double> of) => Console.WriteLine(
            $"{what}: one thread {Middle(r => of(r.Single), "0.0000")} s, {threads} threads {Middle(r => of(r.Shared), "0.0000")} s, {Middle(r => of(r.Single) / of(r.Shared), "0.00")} times faster; "
            + $"{threads} threads with a system each do {Middle(r => r.Apart.Sum(one => of(r.Single) / of(one)), "0.00")} times the work of one");
        Console.WriteLine($"{unknowns} unknowns, medians of {rounds.Length} rounds and the middle half of them");
        Line("set-up", s => s.Setup);
        Line("solve", s => s.Solve);
        Line("both", s => s.Total);
    }
}
