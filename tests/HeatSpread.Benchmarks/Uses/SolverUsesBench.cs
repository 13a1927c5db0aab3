using System.Diagnostics;
using HeatSpread.Boards;
using HeatSpread.Solver;
using HeatSpread.Thermal;

namespace HeatSpread.Benchmarks;

/// <summary>More than one solve on the demo board's network: many heats, cancellation, and memory touched for the first time.</summary>
internal static class SolverUsesBench
{
    /// <summary>Cost of each of eight heats solved together beside one alone.</summary>
    public static int Many(string[] options)
    {
        int threads = (int)Timing.Option(options, "threads", 2), repetitions = (int)Timing.Option(options, "reps", 5);
        var (grid, heat) = Network(Timing.Option(options, "unknowns", 1.12e6));
        var resources = new SolverResources(threads);
        using var solver = MultigridSolver.Prepare(grid, resources, CancellationToken.None);
        double[][] heats = [.. Enumerable.Range(0, 8).Select(k => Shifted(heat, grid, k))], fields = [.. heats.Select(q => new double[q.Length])];
        void Clear() => Array.ForEach(fields, field => Array.Clear(field));
        var alone = Processed(repetitions, Clear, () => solver.Solve(heats[0], fields[0], new(), null, CancellationToken.None));
        var inTurn = Processed(repetitions, Clear, () => Array.ForEach([.. Enumerable.Range(0, 8)], k => solver.Solve(heats[k], fields[k], new(), null, CancellationToken.None)));
        var together = Processed(repetitions, Clear, () => solver.Solve(heats, fields, new(), CancellationToken.None));
        Console.WriteLine(FormattableString.Invariant($"{grid.CellCount} unknowns, {threads} threads, median s (processor s) a heat: one alone {alone.Wall:0.000} ({alone.Processor:0.000}), 8 in turn {inTurn.Wall / 8:0.000} ({inTurn.Processor / 8:0.000}), 8 at once {together.Wall / 8:0.000} ({together.Processor / 8:0.000})"));
        return 0;
    }

    /// <summary>From the call of Cancel to the return, at places spread over set-up and solve (with <c>part=set-up</c> over the set-up alone). With one thread the processor's time says the same without what other processes took.</summary>
    public static int Cancel(string[] options)
    {
        int threads = (int)Timing.Option(options, "threads", 2), times = (int)Timing.Option(options, "reps", 40);
        var (grid, heat) = Network(Timing.Option(options, "unknowns", 7e6));
        var resources = new SolverResources(threads);
        var field = new double[heat.Length];
        double setUp = 0, solve = 0;
        for (int k = 0; k < 2; k++)
        {
            MultigridSolver? whole = null;
            Array.Clear(field);
            setUp = Timing.Once(() => whole = MultigridSolver.Prepare(grid, resources, CancellationToken.None));
            solve = Timing.Once(() => whole!.Solve(heat, field, new(), null, CancellationToken.None));
            whole!.Dispose();
        }
        if (options.Contains("part=set-up")) solve = 0;
        var process = Process.GetCurrentProcess();
        var late = new List<(double Milliseconds, double Processor, double At, string Where)>();
        for (int k = 0; k < times; k++)
        {
            double at = (setUp + solve) * (k + 0.5) / times;
            using var source = new CancellationTokenSource();
            long asked = 0;
            TimeSpan processor = default;
            Array.Clear(field);
            GC.Collect();
            var timer = new Thread(() =>
            {
                Thread.Sleep(TimeSpan.FromSeconds(at));
                process.Refresh();
                processor = process.TotalProcessorTime;
                asked = Stopwatch.GetTimestamp();
                source.Cancel();
            });
            timer.Start();
            string where = "set-up";
            MultigridSolver? solver = null;
            SolveReport? report = null;
            try
            {
                solver = MultigridSolver.Prepare(grid, resources, source.Token);
                where = "solve";
                report = solver.Solve(heat, field, new(), null, source.Token);
            }
            catch (OperationCanceledException)
            {
                // of the set-up
            }
            long ended = Stopwatch.GetTimestamp();
            process.Refresh();
            var processorEnded = process.TotalProcessorTime;
            timer.Join();
            solver?.Dispose();
            if (report is null || report.Status == SolveStatus.Cancelled) late.Add((Stopwatch.GetElapsedTime(asked, ended).TotalMilliseconds, (processorEnded - processor).TotalMilliseconds, at, where));
        }
        Console.WriteLine(FormattableString.Invariant($"{grid.CellCount} unknowns, {threads} threads: set-up {setUp:0.000} s, solve {solve:0.000} s"));
        if (options.Contains("all=1")) late.ForEach(end => Console.WriteLine(FormattableString.Invariant($"{end.Where} at {end.At:0.000} s: {end.Milliseconds:0.0} ms, of the processor {end.Processor:0.0} ms")));
        foreach (var part in late.GroupBy(end => end.Where))
        {
            double[] sorted = [.. part.Select(end => end.Milliseconds).Order()];
            var worst = part.MaxBy(end => end.Milliseconds);
            Console.WriteLine(FormattableString.Invariant($"cancelled in the {part.Key}: {sorted.Length} times, median {sorted[sorted.Length / 2]:0.0} ms, 90 of 100 below {sorted[(int)(0.9 * (sorted.Length - 1))]:0.0} ms, worst {worst.Milliseconds:0.0} ms (at {worst.At:0.000} s), of the processor worst {part.Max(end => end.Processor):0.0} ms"));
        }
        return 0;
    }

    /// <summary>Set-up and solve with memory of their own against memory left by the solver before.</summary>
    public static int Scratch(string[] options)
    {
        int threads = (int)Timing.Option(options, "threads", 2), repetitions = (int)Timing.Option(options, "reps", 5);
        foreach (double unknowns in (ReadOnlySpan<double>)[1.12e6, Timing.Option(options, "unknowns", 7e6)])
        {
            var (grid, heat) = Network(unknowns);
            var field = new double[heat.Length];
            void Once(SolverResources resources)
            {
                Array.Clear(field);
                using var solver = MultigridSolver.Prepare(grid, resources, CancellationToken.None);
                solver.Solve(heat, field, new(1e-2), null, CancellationToken.None);
            }
            var shared = new SolverResources(threads);
            var fresh = Processed(repetitions, () => { }, () => Once(new SolverResources(threads)));
            var reused = Processed(repetitions, () => { }, () => Once(shared));
            Console.WriteLine(FormattableString.Invariant($"{grid.CellCount} unknowns, {threads} threads, set-up and solve to 1e-2, median s (processor s): fresh memory {fresh.Wall:0.000} ({fresh.Processor:0.000}), memory of the solver before {reused.Wall:0.000} ({reused.Processor:0.000}); {shared.IdleScratchBytes >> 20} MiB wait, {shared.IdleScratchBytes / (double)grid.CellCount:0} bytes an unknown"));
        }
        return 0;
    }

    /// <summary>Medians after one that does not count.</summary>
    private static (double Wall, double Processor) Processed(int repetitions, Action before, Action action)
    {
        var process = Process.GetCurrentProcess();
        var taken = new List<(double Wall, double Processor)>();
        for (int k = 0; k <= repetitions; k++)
        {
            before();
            GC.Collect();
            process.Refresh();
            var start = process.TotalProcessorTime;
            long clock = Stopwatch.GetTimestamp();
            action();
            double wall = Stopwatch.GetElapsedTime(clock).TotalSeconds;
            process.Refresh();
            if (k > 0) taken.Add((wall, (process.TotalProcessorTime - start).TotalSeconds));
        }
        return (taken.Select(t => t.Wall).Order().ElementAt(repetitions / 2), taken.Select(t => t.Processor).Order().ElementAt(repetitions / 2));
    }

    private static (ConductanceGrid Grid, double[] Heat) Network(double unknowns)
    {
        var demo = DemoBoard.WithUnknowns(unknowns);
        return Network(demo.Board, demo.Conditions, demo.Raster());
    }

    /// <summary>A board's network, and the heat of its parts.</summary>
    public static (ConductanceGrid Grid, double[] Heat) Network(Board board, Conditions conditions, CopperRaster raster)
    {
        using var solved = ThermalSolve.Run(board, conditions, raster, new SolveCapacity(2), 1e-3, null, CancellationToken.None);
        var heat = new double[solved.Rise.Length];
        solved.Parts.AddHeat(heat);
        return (solved.Network.Grid, heat);
    }

    /// <summary>The same heat at other places.</summary>
    private static double[] Shifted(double[] heat, ConductanceGrid grid, int k)
    {
        var shifted = (double[])heat.Clone();
        int cell = Enumerable.Range(0, grid.CellCount).First(i => i > (k + 1) * grid.Columns * (grid.Rows / 10) && grid.ToSink[i] > 0);
        shifted[cell] += 0.3;
        return shifted;
    }
}
