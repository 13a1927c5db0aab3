using System.Diagnostics;
using System.Globalization;
using System.Text.Json;
using HeatSpread.Solver;

namespace HeatSpread.Benchmarks;

/// <summary>Solves a system file several times and prints one JSON line: seconds of the best repetition, the residual recomputed in double from the file.</summary>
internal static class SystemBench
{
    private const double WarmSeconds = 2;

    private readonly record struct Measured(double Setup, double SetupProcessor, double Loose, double Solve, double SolveProcessor, int LooseIterations, int Iterations, bool Converged)
    {
        public double Total => Setup + Solve;
    }

    public static int Run(string path, string[] options)
    {
        double Option(string key, double otherwise) =>
            options.LastOrDefault(o => o.StartsWith(key + "=", StringComparison.Ordinal)) is { } found ? double.Parse(found[(key.Length + 1)..], CultureInfo.InvariantCulture) : otherwise;
        int threads = (int)Option("threads", 2), repetitions = (int)Option("reps", 5);
        var tolerance = Option("tol", 1e-8);
        var file = SystemFile.Read(path);
        var (grid, unknownOfCell) = file.ToGrid();
        var heat = Array.ConvertAll(unknownOfCell, u => file.Rhs[u]);
        var temperature = new double[grid.CellCount];
        if (Option("profile", 0) != 0)
        {
            SystemProfile.Print(grid);
            return 0;
        }

        if (Option("levels", 0) != 0) Console.Error.WriteLine(MultigridSolver.Prepare(grid, threads, CancellationToken.None).DescribeLevels());
        var resources = new SolverResources(threads);
        // Until the compiler, which works beside it on one of the cores, has done with what a solve calls often.
        var warm = Stopwatch.StartNew();
        for (var k = 0; k < 2 || warm.Elapsed.TotalSeconds < WarmSeconds; k++) Once(grid, heat, temperature, resources, tolerance);
        var before = Process.GetCurrentProcess().PeakWorkingSet64;
        Measured[] runs = [.. Enumerable.Range(0, repetitions).Select(_ => Once(grid, heat, temperature, resources, tolerance)).OrderBy(r => r.Total)];
        var x = new double[temperature.Length];
        for (var i = 0; i < x.Length; i++) x[unknownOfCell[i]] = temperature[i];
        var (residual, heatIn, heatOut) = file.Check(x);
        var best = runs[0];
        Console.WriteLine(JsonSerializer.Serialize(new Dictionary<string, object>
        {
            ["solver"] = "heatspread",
            ["cores"] = threads,
            ["unknowns"] = temperature.Length,
            ["setup"] = Math.Round(best.Setup, 4),
            ["solve"] = Math.Round(best.Solve, 4),
            ["total"] = Math.Round(best.Total, 4),
            ["processor_setup"] = Math.Round(best.SetupProcessor, 4),
            ["processor_solve"] = Math.Round(best.SolveProcessor, 4),
            ["solve_1e-6"] = Math.Round(best.Loose, 4),
            ["iterations_1e-6"] = best.LooseIterations,
            ["iterations"] = best.Iterations,
            ["median_setup"] = Math.Round(Median(runs, r => r.Setup), 4),
            ["median_solve"] = Math.Round(Median(runs, r => r.Solve), 4),
            ["median_total"] = Math.Round(Median(runs, r => r.Total), 4),
            ["median_solve_1e-6"] = Math.Round(Median(runs, r => r.Loose), 4),
            ["peak_mib"] = before >> 20,
            ["converged"] = best.Converged,
            ["residual"] = residual,
            ["heat_in"] = heatIn,
            ["heat_out"] = heatOut,
            ["max"] = temperature.Max(),
        }));
        return best.Converged ? 0 : 1;
    }

    /// <summary>Set-up, a solve to 1e-6, and one to the tolerance; residuals are taken with the file's own conductances in double.</summary>
    private static Measured Once(ConductanceGrid grid, double[] heat, double[] temperature, SolverResources resources, double tolerance)
    {
        GC.Collect();
        var process = Process.GetCurrentProcess();
        var processor = process.TotalProcessorTime;
        var clock = Stopwatch.StartNew();
        using var solver = MultigridSolver.Prepare(grid, resources, CancellationToken.None);
        double setup = clock.Elapsed.TotalSeconds, setupProcessor = Seconds(process, ref processor);
        temperature.AsSpan().Clear();
        clock.Restart();
        var loose = solver.Solve(heat, temperature, new(1e-6), null, CancellationToken.None);
        var looseTime = clock.Elapsed.TotalSeconds;
        temperature.AsSpan().Clear();
        Seconds(process, ref processor);
        clock.Restart();
        var report = solver.Solve(heat, temperature, new(tolerance), null, CancellationToken.None);
        return new(setup, setupProcessor, looseTime, clock.Elapsed.TotalSeconds, Seconds(process, ref processor), loose.Iterations, report.Iterations, report.Status == SolveStatus.Converged);
    }

    private static double Seconds(Process process, ref TimeSpan since)
    {
        process.Refresh();
        var passed = process.TotalProcessorTime - since;
        since = process.TotalProcessorTime;
        return passed.TotalSeconds;
    }

    private static double Median(Measured[] runs, Func<Measured, double> value)
    {
        double[] sorted = [.. runs.Select(value).Order()];
        return (sorted[sorted.Length / 2] + sorted[(sorted.Length - 1) / 2]) / 2;
    }
}
