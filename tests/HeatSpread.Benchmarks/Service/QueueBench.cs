using System.Diagnostics;
using System.Globalization;
using System.Net;
using System.Text;
using System.Text.Json;

namespace HeatSpread.Benchmarks.Service;

/// <summary>
/// What the queue costs: milliseconds of a request beyond its solve, embedded and over a queue server; solves a minute with one and with two workers; milliseconds from a cancellation until the worker's
/// thread begins the next work.
/// </summary>
internal sealed class QueueBench(string serviceDll, string folder) : IDisposable
{
    private readonly HttpClient _client = new() { Timeout = TimeSpan.FromMinutes(10) };
    private readonly List<IDisposable> _started = [];
    private readonly List<ServiceProcess> _processes = [];
    private int _number;

    public async Task Run(int requests, int repetitions)
    {
        var embedded = await Start(("DataFolder", Path.Combine(folder, "embedded")));
        Console.WriteLine($"embedded:    {await Overhead(embedded, requests)}; {await Stop(embedded, repetitions)}");
        var queue = new NatsServer(Path.Combine(folder, "queue"));
        _started.Add(queue);
        (string, string)[] shared = [("Queue", "nats"), ("QueueAddress", queue.Address)];
        var web = await Start([.. shared, ("Role", "web")]);
        await Start([.. shared, ("Role", "worker"), OneCore]);
        Console.WriteLine($"distributed: {await Overhead(web, requests)}; {await Stop(web, repetitions)}");
        var (one, coresOfOne) = await SolvesPerMinute(web, requests);
        await Start([.. shared, ("Role", "worker"), OneCore]);
        var (two, coresOfTwo) = await SolvesPerMinute(web, requests);
        Console.WriteLine(string.Create(CultureInfo.InvariantCulture, $"one worker {one:F1} solves a minute ({coresOfOne:F2} cores), two {two:F1} ({coresOfTwo:F2} cores): {two / one:F2} times"));
    }

    /// <summary>One core each, as if each were a machine: a worker's raster and findings would else use every core of this one, and a second could add nothing.</summary>
    private static (string, string) OneCore => ("DOTNET_PROCESSOR_COUNT", "1");

    public void Dispose()
    {
        for (int i = _started.Count - 1; i >= 0; i--) _started[i].Dispose();
        _client.Dispose();
    }

    private async Task<Uri> Start(params (string Name, string Value)[] settings)
    {
        var process = new ServiceProcess(serviceDll, Path.Combine(folder, "embedded"), [("ConcurrentSolves", "1"), ("SmallSolveSeconds", "0"), ("ThreadsPerSolve", "1"), ("QueueLength", "10000"), .. settings]);
        _started.Add(process);
        _processes.Add(process);
        await process.Answers(_client, "/health/ready", CancellationToken.None);
        return process.Address;
    }

    /// <summary>Requests in turn that wait for their answers: wall time less the solve's own seconds.</summary>
    private async Task<string> Overhead(Uri service, int requests)
    {
        var milliseconds = new List<double>();
        for (int i = -3; i < requests; i++)
        {
            var watch = Stopwatch.StartNew();
            using var response = await Post(service, pitchMm: 1, wait: true);
            var answer = JsonElement.Parse(await response.Content.ReadAsStringAsync());
            if (i >= 0) milliseconds.Add(watch.Elapsed.TotalMilliseconds - 1e3 * answer.GetProperty("seconds").GetProperty("total").GetDouble()); // the first are warm-up
        }
        milliseconds.Sort();
        return string.Create(CultureInfo.InvariantCulture, $"{milliseconds[milliseconds.Count / 2]:F1} ms a request beyond its solve (median of {requests}, 9 of 10 below {milliseconds[9 * milliseconds.Count / 10]:F1})");
    }

    /// <summary>A long solve runs and a small one waits behind it; the long one is cancelled.</summary>
    private async Task<string> Stop(Uri service, int repetitions)
    {
        var milliseconds = new List<double>();
        for (int i = 0; i < repetitions; i++)
        {
            using var running = await Post(service, pitchMm: 0.03, wait: false);
            string address = running.Headers.Location!.ToString();
            await Running(service, address);
            await Task.Delay(TimeSpan.FromMilliseconds(300 + 137 * i));
            using var next = await Post(service, pitchMm: 1, wait: false);
            var begun = Running(service, next.Headers.Location!.ToString());
            var watch = Stopwatch.StartNew();
            using (await _client.DeleteAsync(new Uri(service, address))) await begun;
            milliseconds.Add(watch.Elapsed.TotalMilliseconds);
        }
        milliseconds.Sort();
        return string.Create(CultureInfo.InvariantCulture, $"from a cancellation to the next work {milliseconds[milliseconds.Count / 2]:F0} ms (median of {repetitions}), worst {milliseconds[^1]:F0} ms");
    }

    /// <summary>And the cores that all processes of the service kept busy meanwhile.</summary>
    private async Task<(double Rate, double Cores)> SolvesPerMinute(Uri service, int requests)
    {
        double before = _processes.Sum(process => process.ProcessorSeconds);
        var watch = Stopwatch.StartNew();
        var addresses = new List<string>();
        for (int i = 0; i < requests; i++)
        {
            using var response = await Post(service, pitchMm: 0.15, wait: false);
            addresses.Add(response.Headers.Location!.ToString());
        }
        foreach (string address in addresses)
        {
            while (JsonElement.Parse(await _client.GetStringAsync(new Uri(service, address))).GetProperty("state").GetString() != "solved") await Task.Delay(10);
        }
        return (requests / watch.Elapsed.TotalMinutes, (_processes.Sum(process => process.ProcessorSeconds) - before) / watch.Elapsed.TotalSeconds);
    }

    /// <summary>Waits until work has begun, by its events.</summary>
    private async Task Running(Uri service, string address)
    {
        using var stream = new StreamReader(await _client.GetStreamAsync(new Uri(service, address + "/events")));
        while (await stream.ReadLineAsync() is { } line)
        {
            if (line.Contains("\"state\":\"running\"", StringComparison.Ordinal) || line.Contains("event: solved", StringComparison.Ordinal)) return;
        }
    }

    private async Task<HttpResponseMessage> Post(Uri service, double pitchMm, bool wait)
    {
        using var request = new HttpRequestMessage(HttpMethod.Post, new Uri(service, "/v1/solutions"))
        {
            Content = new StringContent(
                $$"""{ "layout": {{FaultRun.Plate(++_number)}}, "conditions": {{FaultRun.Conditions}}, "grid": { "pitchMm": {{pitchMm.ToString(CultureInfo.InvariantCulture)}} } }""", Encoding.UTF8, "application/json"),
        };
        if (!wait) request.Headers.Add("Prefer", "respond-async");
        var response = await _client.SendAsync(request);
        if (response.StatusCode != (wait ? HttpStatusCode.OK : HttpStatusCode.Accepted)) throw new InvalidOperationException($"{(int)response.StatusCode}: {await response.Content.ReadAsStringAsync()}");
        return response;
    }
}
