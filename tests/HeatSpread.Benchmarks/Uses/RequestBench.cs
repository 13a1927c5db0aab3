using System.Diagnostics;
using System.Globalization;
using System.Net;
using System.Net.Sockets;
using System.Text;
using System.Text.Json;
using HeatSpread.Verification.Support;

namespace HeatSpread.Benchmarks;

/// <summary>The whole way of a request to a service of its own on the loopback address: the answer, then one picture.</summary>
internal static class RequestBench
{
    public static async Task<int> Run(string[] options)
    {
        double unknowns = Timing.Option(options, "unknowns", 1.12e6);
        int repetitions = (int)Timing.Option(options, "reps", 5), port = FreePort();
        var demo = DemoBoard.WithUnknowns(unknowns);
        string data = Path.Combine(Path.GetTempPath(), $"heatspread-bench-{port}");
        using var service = Start(port, data);
        using var client = new HttpClient { BaseAddress = new Uri($"http://127.0.0.1:{port}"), Timeout = TimeSpan.FromMinutes(10) };
        try
        {
            await Ready(client);
            Console.WriteLine($"{"unknowns",9} {"POST s",8} {"picture s",10} {"raster",7} {"assemble",9} {"solve",7} {"grid error",11} {"findings",9} {"total",7} {"(POST + picture) / solve",25} {"allocated MiB",14}");
            for (int k = 0; k <= repetitions; k++)
            {
                double before = await Allocated(client);
                string request = string.Create(CultureInfo.InvariantCulture, $$"""{ "layout": {{Fixture("demo-unbroken.json")}}, "conditions": { "ambientCelsius": {{20 + k}}, "surfaces": { "top": { "filmWattsPerM2K": 13 }, "bottom": { "filmWattsPerM2K": 13 } } }, "grid": { "pitchMm": {{demo.Pitch * 1e3}} } }""");
                long start = Stopwatch.GetTimestamp();
                using var answered = await client.PostAsync(new Uri("/v1/solutions", UriKind.Relative), new StringContent(request, Encoding.UTF8, "application/json"));
                using var answer = JsonDocument.Parse(await answered.EnsureSuccessStatusCode().Content.ReadAsByteArrayAsync());
                double post = Stopwatch.GetElapsedTime(start).TotalSeconds;
                start = Stopwatch.GetTimestamp();
                await client.GetByteArrayAsync(new Uri(answer.RootElement.GetProperty("layers")[0].GetProperty("image").GetString()!, UriKind.Relative));
                double picture = Stopwatch.GetElapsedTime(start).TotalSeconds;
                var seconds = answer.RootElement.GetProperty("seconds");
                double Of(string name) => seconds.GetProperty(name).GetDouble();
                double allocated = (await Allocated(client) - before) / (1 << 20);
                if (k == 0) continue;
                Console.WriteLine(FormattableString.Invariant(
                    $"{answer.RootElement.GetProperty("accuracy").GetProperty("unknowns").GetInt32(),9} {post,8:0.000} {picture,10:0.000} {Of("raster"),7:0.000} {Of("assemble"),9:0.000} {Of("solve"),7:0.000} {Of("gridError"),11:0.000} {Of("findings"),9:0.000} {Of("total"),7:0.000} {(post + picture) / Of("solve"),25:0.00} {allocated,14:0}"));
            }
        }
        finally
        {
            service.Kill();
            await service.WaitForExitAsync();
            if (Directory.Exists(data)) Directory.Delete(data, recursive: true);
        }
        return 0;
    }

    private static string Fixture(string name) => File.ReadAllText(DemoBoard.Fixture(name));

    private static Process Start(int port, string data)
    {
        string program = Path.Combine(Repository.Root!, "artifacts", "bin", "HeatSpread.Service", "release", "HeatSpread.Service.dll");
        if (!File.Exists(program)) throw new InvalidOperationException($"Build the service first: {program} is not there.");
        var start = new ProcessStartInfo("dotnet", [program, "--urls", $"http://127.0.0.1:{port}"]) { RedirectStandardOutput = true };
        start.Environment["HeatSpread__DataFolder"] = data;
        var service = Process.Start(start)!;
        service.OutputDataReceived += (_, _) => { };
        service.BeginOutputReadLine();
        return service;
    }

    private static async Task Ready(HttpClient client)
    {
        for (int k = 0; k < 600; k++)
        {
            try
            {
                using var ready = await client.GetAsync(new Uri("/health/ready", UriKind.Relative));
                if (ready.IsSuccessStatusCode) return;
            }
            catch (HttpRequestException)
            {
                // it does not listen yet
            }
            await Task.Delay(100);
        }
        throw new InvalidOperationException("The service did not become ready.");
    }

    private static async Task<double> Allocated(HttpClient client)
    {
        string metrics = await client.GetStringAsync(new Uri("/metrics", UriKind.Relative));
        string line = metrics.Split('\n').FirstOrDefault(l => l.StartsWith("dotnet_gc_heap_total_allocated_bytes_total", StringComparison.Ordinal)) ?? "0 0";
        return double.Parse(line.Split(' ')[1], CultureInfo.InvariantCulture);
    }

    private static int FreePort()
    {
        using var listener = new TcpListener(IPAddress.Loopback, 0);
        listener.Start();
        return ((IPEndPoint)listener.LocalEndpoint).Port;
    }
}
