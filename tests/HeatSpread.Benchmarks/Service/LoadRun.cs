using System.Collections.Concurrent;
using System.Diagnostics;
using System.Globalization;
using System.Net;
using System.Text;
using System.Text.Json;

namespace HeatSpread.Benchmarks.Service;

/// <summary>
/// A closed loop of clients, each of which posts a board of its own, waits for the answer and posts the next, and beside it a watcher that asks for <c>/health/live</c>
/// for a map over and over, and for maps that nobody has asked for before. Tells statuses, solves a minute, latencies, memory, and who used the processor: these clients share the machine with the service.
/// </summary>
internal static class LoadRun
{
    private const int BatchBoards = 48; // fewer than may wait

    private static readonly TimeSpan BetweenLooks = TimeSpan.FromMilliseconds(50);

    /// <param name="serviceDll">Path of HeatSpread.Service.dll.</param>
    /// <param name="clients">At the same time.</param>
    /// <param name="seconds">How long.</param>
    public static async Task Run(string serviceDll, int clients, double seconds)
    {
        string folder = Directory.CreateTempSubdirectory("heatspread-load-").FullName;
        try
        {
            using var service = new ServiceProcess(serviceDll, folder);
            using var handler = new SocketsHttpHandler { MaxConnectionsPerServer = clients + 8 };
            using var client = new HttpClient(handler) { BaseAddress = service.Address, Timeout = TimeSpan.FromMinutes(10) };
            await service.Answers(client, "/health/ready", CancellationToken.None);
            string image = await FirstMap(client);
            Console.WriteLine($"idle:     {await WatchAll(client, image, TimeSpan.FromSeconds(5))}");

            var cost = new Cost(service);
            double batch = await Batch(client);
            Console.WriteLine(string.Create(CultureInfo.InvariantCulture, $"batch:    {batch:F0} solves a minute, with nothing else asked; {cost.Since(BatchBoards)}"));

            using var end = new CancellationTokenSource(TimeSpan.FromSeconds(seconds));
            var statuses = new ConcurrentDictionary<int, int>();
            int number = 0;
            var loops = Enumerable.Range(0, clients).Select(_ => Loop(client, () => Interlocked.Increment(ref number), statuses, end.Token)).ToArray();
            var memory = Memory(service, end.Token);
            cost = new Cost(service);
            string watched = await WatchAll(client, image, TimeSpan.FromSeconds(seconds));
            string used = cost.Since(statuses.GetValueOrDefault(200));
            await Task.WhenAll(loops);
            Console.WriteLine($"loaded:   {watched}");
            Console.WriteLine($"statuses: {string.Join(", ", statuses.OrderBy(s => s.Key).Select(s => $"{s.Value} × {s.Key}"))}");
            double rate = statuses.GetValueOrDefault(200) / seconds * 60;
            Console.WriteLine(string.Create(CultureInfo.InvariantCulture, $"solved:   {rate:F0} a minute, {rate / batch:F2} of the batch; {used}"));
            Console.WriteLine($"memory:   {await memory}");
        }
        finally
        {
            Directory.Delete(folder, recursive: true);
        }
    }

    private static StringContent Request(string name, double pitchMm) => new(
        $$"""{ "layout": {{FaultRun.Plate(0).Replace("plate 0", name, StringComparison.Ordinal)}}, "conditions": {{FaultRun.Conditions}}, "grid": { "pitchMm": {{pitchMm.ToString(CultureInfo.InvariantCulture)}} } }""",
        Encoding.UTF8, "application/json");

    private static async Task<string> FirstMap(HttpClient client)
    {
        using var response = await client.PostAsync("/v1/solutions", Request("watched", 0.25));
        return JsonElement.Parse(await response.Content.ReadAsStringAsync()).GetProperty("layers")[0].GetProperty("image").GetString()! + "?width=640";
    }

    /// <summary>Solves a minute of work that was all put in before.</summary>
    private static async Task<double> Batch(HttpClient client)
    {
        var watch = Stopwatch.StartNew();
        var addresses = new List<Uri>();
        for (int i = 0; i < BatchBoards; i++)
        {
            using var request = new HttpRequestMessage(HttpMethod.Post, "/v1/solutions") { Content = Request($"batch {i}", 0.125), Headers = { { "Prefer", "respond-async" } } };
            using var response = await client.SendAsync(request);
            addresses.Add(response.EnsureSuccessStatusCode().Headers.Location!);
        }
        foreach (var address in addresses)
        {
            while (JsonElement.Parse(await client.GetStringAsync(address)).GetProperty("state").GetString() != "solved") await Task.Delay(20);
        }
        return BatchBoards / watch.Elapsed.TotalMinutes;
    }

    private static async Task Loop(HttpClient client, Func<int> next, ConcurrentDictionary<int, int> statuses, CancellationToken end)
    {
        while (!end.IsCancellationRequested)
        {
            using var response = await client.PostAsync("/v1/solutions", Request($"load {next()}", 0.125), CancellationToken.None);
            if (!end.IsCancellationRequested) statuses.AddOrUpdate((int)response.StatusCode, 1, (_, count) => count + 1);
            if (response.StatusCode != HttpStatusCode.TooManyRequests) continue;
            try
            {
                await Task.Delay(response.Headers.RetryAfter?.Delta ?? TimeSpan.FromSeconds(1), end);
            }
            catch (OperationCanceledException)
            {
                return;
            }
        }
    }

    private static async Task<string> WatchAll(HttpClient client, string image, TimeSpan time)
    {
        int number = 0;
        var live = Watch(client, () => "/health/live", time);
        var map = Watch(client, () => image, time);
        var drawn = Watch(client, () => string.Create(CultureInfo.InvariantCulture, $"{image}&max={200 + Interlocked.Increment(ref number) * 0.001:F3}"), time); // another scale: to be drawn
        return $"live {await live}; map {await map}; map never drawn before {await drawn}";
    }

    /// <summary>Milliseconds: median, 99th percentile, worst.</summary>
    private static async Task<string> Watch(HttpClient client, Func<string> address, TimeSpan time)
    {
        var taken = new List<double>();
        for (var whole = Stopwatch.StartNew(); whole.Elapsed < time;)
        {
            var watch = Stopwatch.StartNew();
            using (var response = await client.GetAsync(address()))
            {
                await response.Content.ReadAsByteArrayAsync();
                taken.Add(response.IsSuccessStatusCode ? watch.Elapsed.TotalMilliseconds : double.PositiveInfinity);
            }
            await Task.Delay(BetweenLooks);
        }
        taken.Sort();
        return string.Create(CultureInfo.InvariantCulture, $"p50 {taken[taken.Count / 2]:F1} ms, p99 {taken[(int)(0.99 * (taken.Count - 1))]:F1} ms, worst {taken[^1]:F1} ms of {taken.Count}");
    }

    private static async Task<string> Memory(ServiceProcess service, CancellationToken end)
    {
        const int secondsBetween = 10;
        var megabytes = new List<long>();
        while (!end.IsCancellationRequested)
        {
            megabytes.Add(service.ResidentBytes >> 20);
            await Task.Delay(TimeSpan.FromSeconds(secondsBetween), CancellationToken.None);
        }
        return $"{string.Join(", ", megabytes)} MiB every {secondsBetween} s: {megabytes[Math.Min(60 / secondsBetween, megabytes.Count - 1)]} after a minute, {megabytes[^1]} at the end";
    }

    /// <summary>Processor time from its making on.</summary>
    private sealed class Cost(ServiceProcess service)
    {
        private readonly double _service = service.ProcessorSeconds;
        private readonly TimeSpan _own = Environment.CpuUsage.TotalTime;

        public string Since(int solves)
        {
            double used = service.ProcessorSeconds - _service, own = (Environment.CpuUsage.TotalTime - _own).TotalSeconds;
            return string.Create(CultureInfo.InvariantCulture, $"processor: service {used:F1} s, {used / Math.Max(1, solves):F2} s a solve; these clients {own:F1} s");
        }
    }
}
