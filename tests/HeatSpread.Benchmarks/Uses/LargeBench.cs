using System.Diagnostics;
using HeatSpread.Thermal;

namespace HeatSpread.Benchmarks;

/// <summary>The demo board on a grid of as many unknowns as a request may have: seconds by step and the most memory that the process had at once.</summary>
internal static class LargeBench
{
    /// <param name="options"><c>unknowns=</c>, <c>threads=</c>.</param>
    public static int Run(string[] options)
    {
        var demo = DemoBoard.WithUnknowns(Timing.Option(options, "unknowns", 4e7));
        var watch = Stopwatch.StartNew();
        var raster = demo.Raster();
        double rasterSeconds = watch.Elapsed.TotalSeconds;
        using var solved = ThermalSolve.Run(demo.Board, demo.Conditions, raster, new SolveCapacity((int)Timing.Option(options, "threads", 2)), ThermalSolve.Tolerance, progress: null, CancellationToken.None);
        var figures = solved.Figures;
        var heat = solved.Read().Heat;
        using var process = Process.GetCurrentProcess();
        Console.WriteLine(FormattableString.Invariant($"{figures.Unknowns} unknowns, {figures.Iterations} iterations to a residual of {figures.RelativeResidual:g2}; raster {rasterSeconds:0.0} s, assembly {figures.AssembleSeconds:0.0} s, set-up and solve {figures.SolveSeconds:0.0} s"));
        Console.WriteLine(FormattableString.Invariant($"unbalanced {Math.Abs(heat.ImbalanceWatts) / heat.DissipatedWatts:g2} of the heat; at most {process.PeakWorkingSet64 >> 20} MiB at once, {(double)process.PeakWorkingSet64 / figures.Unknowns:0} bytes an unknown"));
        return 0;
    }
}
