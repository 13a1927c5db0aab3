using System.Diagnostics;
using System.Globalization;
using System.Text.Json;
using HeatSpread.Solver;

namespace HeatSpread.Benchmarks;

/// <summary>Solves a system file several times and prints one JSON line: seconds of the best repetition, the residual recomputed in double from the file.</summary>
internal static class SystemBench
{
    private readonly record struct Run1(double Setup, double Loose, double Solve, int LooseIterations, SolveReport Report)
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
        var temperature = new double[heat.Length];
        if (Option("levels", 0) != 0) Console.Error.WriteLine(MultigridSolver.Prepare(grid, threads, CancellationToken.None).DescribeLevels());
        Once(grid, heat, temperature, threads, tolerance);
        var before = Process.GetCurrentProcess().PeakWorkingSet64;
        Run1[] runs = [.. Enumerable.Range(0, repetitions).Select(_ => Once(grid, heat, temperature, threads, tolerance)).OrderBy(r => r.Total)];
        var x = new double[heat.Length];
        for (var i = 0; i < x.Length; i++) x[unknownOfCell[i]] = temperature[i];
        var (residual, heatIn, heatOut) = file.Check(x);
        var best = runs[0];
        Console.WriteLine(JsonSerializer.Serialize(new Dictionary<string, object>
        {
            ["solver"] = "heatspread",
            ["cores"] = threads,
            ["unknowns"] = heat.Length,
            ["setup"] = Math.Round(best.Setup, 4),
            ["solve"] = Math.Round(best.Solve, 4),
            ["total"] = Math.Round(best.Total, 4),
            ["solve_1e-6"] = Math.Round(best.Loose, 4),
            ["iterations_1e-6"] = best.LooseIterations,
            ["iterations"] = best.Report.Iterations,
            ["median_setup"] = Math.Round(Median(runs, r => r.Setup), 4),
            ["median_solve"] = Math.Round(Median(runs, r => r.Solve), 4),
            ["median_total"] = Math.Round(Median(runs, r => r.Total), 4),
            ["peak_mib"] = before >> 20,
            ["converged"] = best.Report.Status == SolveStatus.Converged,
            ["status"] = best.Report.Status.ToString(),
            ["residual"] = residual,
            ["heat_in"] = heatIn,
            ["heat_out"] = heatOut,
            ["max"] = temperature.Max(),
        }));
        return best.Report.Status == SolveStatus.Converged ? 0 : 1;
    }

    private static Run1 Once(ConductanceGrid grid, double[] heat, double[] temperature, int threads, double tolerance)
    {
        GC.Collect();
        var clock = Stopwatch.StartNew();
        var solver = MultigridSolver.Prepare(grid, threads, CancellationToken.None);
        var setup = clock.Elapsed.TotalSeconds;
        temperature.AsSpan().Clear();
        clock.Restart();
        var loose = solver.Solve(heat, temperature, new(1e-6), null, CancellationToken.None);
        var looseTime = clock.Elapsed.TotalSeconds;
        temperature.AsSpan().Clear();
        clock.Restart();
        var report = solver.Solve(heat, temperature, new(tolerance), null, CancellationToken.None);
        return new(setup, looseTime, clock.Elapsed.TotalSeconds, loose.Iterations, report);
    }

    private static double Median(Run1[] runs, Func<Run1, double> value)
    {
        double[] sorted = [.. runs.Select(value).Order()];
        return (sorted[sorted.Length / 2] + sorted[(sorted.Length - 1) / 2]) / 2;
    }
}
