using System.Globalization;

namespace HeatSpread.Benchmarks.Service;

/// <summary>The commands that start the service as a process.</summary>
internal static class ServiceCommands
{
    /// <summary><c>faults [kills=200] [seed=1]</c>.</summary>
    public static async Task<int> Faults(string[] options)
    {
        string folder = Directory.CreateTempSubdirectory("heatspread-faults-").FullName;
        try
        {
            using var run = new FaultRun(Dll, folder, Option(options, "seed", 1));
            var counts = await run.Run(Option(options, "kills", 200), Console.Out, CancellationToken.None);
            Console.WriteLine(counts);
            return counts.IsSound ? 0 : 1;
        }
        finally
        {
            Directory.Delete(folder, recursive: true);
        }
    }

    /// <summary><c>distributed [kills=] [seconds=60] [seed=1]</c>; of a number of kills and a time whichever comes first.</summary>
    public static async Task<int> Distributed(string[] options)
    {
        string folder = Directory.CreateTempSubdirectory("heatspread-distributed-").FullName;
        try
        {
            int kills = Option(options, "kills", int.MaxValue);
            using var run = new DistributedRun(Dll, folder, Option(options, "seed", 1));
            var counts = await run.Run(TimeSpan.FromSeconds(Option(options, "seconds", kills == int.MaxValue ? 60 : 3600)), kills, Console.Out, CancellationToken.None);
            Console.WriteLine(counts);
            return counts.IsSound ? 0 : 1;
        }
        finally
        {
            Directory.Delete(folder, recursive: true);
        }
    }

    /// <summary><c>queue [requests=30] [reps=10]</c>.</summary>
    public static async Task<int> Queue(string[] options)
    {
        string folder = Directory.CreateTempSubdirectory("heatspread-queue-").FullName;
        try
        {
            using var bench = new QueueBench(Dll, folder);
            await bench.Run(Option(options, "requests", 30), Option(options, "reps", 10));
            return 0;
        }
        finally
        {
            Directory.Delete(folder, recursive: true);
        }
    }

    /// <summary><c>load [clients=200] [seconds=300]</c>.</summary>
    public static async Task<int> Load(string[] options)
    {
        await LoadRun.Run(Dll, Option(options, "clients", 200), Option(options, "seconds", 300));
        return 0;
    }

    /// <summary>Beside these benchmarks in the folder of build results.</summary>
    private static string Dll => Path.GetFullPath(Path.Combine(AppContext.BaseDirectory, "..", "..", "HeatSpread.Service", "release", "HeatSpread.Service.dll"));

    private static int Option(string[] options, string name, int usual) =>
        options.FirstOrDefault(o => o.StartsWith(name + "=", StringComparison.Ordinal)) is { } given ? int.Parse(given[(name.Length + 1)..], CultureInfo.InvariantCulture) : usual;
}
