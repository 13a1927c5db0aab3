using System.Diagnostics;
using System.Globalization;

namespace HeatSpread.Benchmarks;

/// <summary>Seconds of something done several times.</summary>
internal static class Timing
{
    /// <summary>Least and median of the repetitions, after one that does not count.</summary>
    public static (double Least, double Median) Of(int repetitions, Action action)
    {
        action();
        double[] seconds = [.. Enumerable.Range(0, repetitions).Select(_ => Once(action)).Order()];
        return (seconds[0], seconds[seconds.Length / 2]);
    }

    public static double Once(Action action)
    {
        GC.Collect();
        long start = Stopwatch.GetTimestamp();
        action();
        return Stopwatch.GetElapsedTime(start).TotalSeconds;
    }

    /// <summary>Median, and in brackets the middle half.</summary>
    public static string Middle(IEnumerable<double> values, string format)
    {
        double[] sorted = [.. values.Order()];
        string At(int index) => sorted[index].ToString(format, CultureInfo.InvariantCulture);
        return $"{At(sorted.Length / 2)} ({At(sorted.Length / 4)} to {At(sorted.Length * 3 / 4)})";
    }

    /// <summary>The number behind <c>key=</c> among the options.</summary>
    public static double Option(string[] options, string key, double otherwise) =>
        options.LastOrDefault(o => o.StartsWith(key + "=", StringComparison.Ordinal)) is { } found ? double.Parse(found[(key.Length + 1)..], CultureInfo.InvariantCulture) : otherwise;
}
