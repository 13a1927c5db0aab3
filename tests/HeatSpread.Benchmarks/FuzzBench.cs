using System.Diagnostics;
using System.Globalization;
using HeatSpread.Tests.Import.Fuzzing;

namespace HeatSpread.Benchmarks;

/// <summary>Harmed files without end: counts those read and refused, and those that crash or take longer than a second of processor time (wall time says little on a busy machine).</summary>
internal static class FuzzBench
{
    private const double Slow = 1;

    public static int Run(string reader, int count, int seed, int first)
    {
        if (!HarmedFiles.Readers.Contains(reader))
        {
            Console.Error.WriteLine($"the reader must be one of {string.Join(", ", HarmedFiles.Readers)}");
            return 2;
        }
        int taken = 0, crashes = 0, slow = 0;
        double longest = 0;
        long start = Stopwatch.GetTimestamp();
        for (int i = first; i < first + count; i++)
        {
            var random = new Random(unchecked(seed * 1_000_003 + i));
            var one = Environment.CpuUsage.TotalTime;
            try
            {
                if (reader == "board" ? HarmedFiles.ImportBoard(random).Layout is not null : HarmedFiles.Read(reader, HarmedFiles.Make(reader, random))) taken++;
            }
            catch (Exception crash) when (crash is not OutOfMemoryException)
            {
                if (crashes++ < 5) Console.WriteLine($"input {i}: {crash}");
            }
            double seconds = (Environment.CpuUsage.TotalTime - one).TotalSeconds;
            longest = Math.Max(longest, seconds);
            if (seconds > Slow && slow++ < 5) Console.WriteLine(string.Create(CultureInfo.InvariantCulture, $"input {i}: {seconds:0.00} s"));
        }
        double total = Stopwatch.GetElapsedTime(start).TotalSeconds;
        Console.WriteLine(string.Create(CultureInfo.InvariantCulture, $"{reader}: {count} inputs in {total:0.0} s, {taken} read, {count - taken - crashes} refused, {crashes} crashes, {slow} over 1 s of processor time, longest {longest:0.00} s"));
        return crashes > 0 ? 1 : 0;
    }
}
