using System.Collections.Concurrent;
using System.Diagnostics;
using System.Net;
using System.Text;
using System.Text.Json;

namespace HeatSpread.Benchmarks.Service;

/// <param name="Kills">Processes ended by SIGKILL.</param>
/// <param name="KillsInStart">Of these, before the service answered.</param>
/// <param name="Accepted">Requests answered 202.</param>
/// <param name="Layouts">Layouts answered 201.</param>
/// <param name="Solved">Accepted requests whose solution is there at the end.</param>
/// <param name="Lost">Accepted requests and layouts that are not, or not as they should be.</param>
/// <param name="Damaged">Entries that the service set aside.</param>
/// <param name="LeftOver">Accepted requests still written down after all are solved, and entries half written.</param>
internal sealed record FaultCounts(int Kills, int KillsInStart, int Accepted, int Layouts, int Solved, int Lost, int Damaged, int LeftOver)
{
    public bool IsSound => Lost == 0 && Damaged == 0 && LeftOver == 0 && Solved == Accepted && Accepted > 0;
}

/// <summary>
/// Posts requests to the service and kills it at random moments, over and over, in its start too. Then lets it finish and counts: every request that was answered
/// 202 must be solved, every layout that was answered 201 be there, nothing be damaged.
/// </summary>
internal sealed class FaultRun(string serviceDll, string dataFolder, int seed) : IDisposable
{
    private readonly Random _random = new(seed);
    private readonly HttpClient _client = new() { Timeout = TimeSpan.FromSeconds(30) };
    private readonly ConcurrentDictionary<string, string> _accepted = new(), _layouts = new();
    private int _posted;

    public async Task<FaultCounts> Run(int kills, TextWriter log, CancellationToken cancellationToken)
    {
        int inStart = 0;
        for (int k = 1; k <= kills; k++)
        {
            using var service = Start();
            if (_random.NextDouble() < 0.15)
            {
                await Task.Delay(TimeSpan.FromSeconds(0.8 * _random.NextDouble()), cancellationToken);
                inStart++;
            }
            else
            {
                await service.Answers(_client, "/health/live", cancellationToken);
                using var until = CancellationTokenSource.CreateLinkedTokenSource(cancellationToken);
                var clients = Enumerable.Range(0, 3).Select(_ => Post(service.Address, until.Token)).ToArray();
                int before = _accepted.Count;
                for (var watch = Stopwatch.StartNew(); _accepted.Count == before && watch.Elapsed < TimeSpan.FromSeconds(20);) await Task.Delay(5, cancellationToken);
                await Task.Delay(TimeSpan.FromSeconds(0.8 * _random.NextDouble()), cancellationToken);
                service.Kill();
                await until.CancelAsync();
                await Task.WhenAll(clients);
            }
            service.Kill();
            if (k % 20 == 0) await log.WriteLineAsync($"{k} kills, {_accepted.Count} accepted, {_layouts.Count} layouts");
        }
        return await Count(kills, inStart, cancellationToken);
    }

    public void Dispose() => _client.Dispose();

    private ServiceProcess Start() => new(serviceDll, dataFolder, ("QueueLength", "10000"), ("MaximumAttempts", "1000000"), ("ConcurrentSolves", "2"));

    private async Task Post(Uri service, CancellationToken cancellationToken)
    {
        try
        {
            while (!cancellationToken.IsCancellationRequested)
            {
                int number = Interlocked.Increment(ref _posted);
                bool layoutOnly = number % 4 == 0;
                string layout = Plate(number);
                using var request = new HttpRequestMessage(HttpMethod.Post, new Uri(service, layoutOnly ? "/v1/layouts" : "/v1/solutions"))
                {
                    Content = new StringContent(layoutOnly ? layout : $$"""{ "layout": {{layout}}, "conditions": {{Conditions}}, "grid": { "pitchMm": 0.5 } }""", Encoding.UTF8, "application/json"),
                    Headers = { { "Prefer", "respond-async" } },
                };
                using var response = await _client.SendAsync(request, cancellationToken);
                if (response.StatusCode == HttpStatusCode.Accepted) _accepted[response.Headers.Location!.ToString()] = $"plate {number}";
                if (response.StatusCode == HttpStatusCode.Created) _layouts[response.Headers.Location!.ToString()] = $"plate {number}";
                await Task.Delay(30, cancellationToken);
            }
        }
        catch (Exception fault) when (fault is HttpRequestException or OperationCanceledException or IOException)
        {
            // the service was killed: what had no answer was not promised
        }
    }

    private async Task<FaultCounts> Count(int kills, int inStart, CancellationToken cancellationToken)
    {
        using var service = Start();
        await service.Answers(_client, "/health/live", cancellationToken);
        int solved = 0, lost = 0;
        foreach (var (address, name) in _accepted)
        {
            if (await Ends(new Uri(service.Address, address), name, cancellationToken)) solved++;
            else lost++;
        }
        foreach (var (address, name) in _layouts)
        {
            using var response = await _client.GetAsync(new Uri(service.Address, address), cancellationToken);
            if (!response.IsSuccessStatusCode || JsonElement.Parse(await response.Content.ReadAsStringAsync(cancellationToken)).GetProperty("name").GetString() != name) lost++;
        }
        for (var watch = Stopwatch.StartNew(); Entries("accepted") > 0 && watch.Elapsed < TimeSpan.FromSeconds(10);) await Task.Delay(20, cancellationToken);
        int damaged = Directory.Exists(Path.Combine(dataFolder, "damaged")) ? Directory.GetDirectories(Path.Combine(dataFolder, "damaged")).Sum(kind => Directory.GetDirectories(kind).Length) : 0;
        int halfWritten = Directory.GetDirectories(Path.Combine(dataFolder, "incoming")).Sum(kind => Directory.GetDirectories(kind).Length);
        return new(kills, inStart, _accepted.Count, _layouts.Count, solved, lost, damaged, Entries("accepted") + halfWritten);
    }

    private async Task<bool> Ends(Uri address, string name, CancellationToken cancellationToken)
    {
        for (var watch = Stopwatch.StartNew(); watch.Elapsed < TimeSpan.FromMinutes(5);)
        {
            using var response = await _client.GetAsync(address, cancellationToken);
            if (!response.IsSuccessStatusCode) return false;
            var answer = JsonElement.Parse(await response.Content.ReadAsStringAsync(cancellationToken));
            switch (answer.GetProperty("state").GetString())
            {
                case "solved": return answer.GetProperty("name").GetString() == name && answer.GetProperty("layers").GetArrayLength() == 2;
                case "queued" or "running": await Task.Delay(20, cancellationToken); break;
                default: return false;
            }
        }
        return false;
    }

    private int Entries(string kind) => Directory.GetDirectories(Path.Combine(dataFolder, kind)).Length;

    public const string Conditions = """{ "ambientCelsius": 25, "surfaces": { "top": { "filmWattsPerM2K": 12 }, "bottom": { "filmWattsPerM2K": 8 }, "edges": { "filmWattsPerM2K": 0 } } }""";

    public static string Plate(int number) => $$"""
        { "name": "plate {{number}}", "revision": "A", "unit": "mm",
          "outline": { "type": "Polygon", "coordinates": [[[0, 0], [40, 0], [40, 30], [0, 30], [0, 0]]] },
          "stack": [ { "kind": "copper", "name": "L1", "thicknessUm": 35 }, { "kind": "dielectric", "thicknessUm": 1500, "material": "fr4" }, { "kind": "copper", "name": "L2", "thicknessUm": 35 } ],
          "nets": [{ "name": "GND" }],
          "copper": [ { "layer": "L1", "net": "GND", "area": { "type": "Polygon", "coordinates": [[[1, 1], [30, 1], [30, 29], [1, 29], [1, 1]]] } } ],
          "parts": [ { "id": "U1", "kind": "ic", "side": "top", "watts": 1, "limitCelsius": 105,
            "terminals": [{ "name": "1", "net": "GND", "pad": { "type": "Polygon", "coordinates": [[[18, 13], [22, 13], [22, 17], [18, 17], [18, 13]]] } }] } ] }
        """;
}
