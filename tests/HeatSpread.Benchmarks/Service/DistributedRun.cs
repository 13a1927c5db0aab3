using System.Collections.Concurrent;
using System.Diagnostics;
using System.Net;
using System.Text;
using System.Text.Json;

namespace HeatSpread.Benchmarks.Service;

/// <param name="Kills">Processes ended by SIGKILL.</param>
/// <param name="Restarts">Processes ended by SIGTERM, as a rolling restart does.</param>
/// <param name="Accepted">Requests answered 202.</param>
/// <param name="Solved">Of these, solved at the end: the solution is there from both replicas, with its field.</param>
/// <param name="Twice">Of these, more than once in a list.</param>
/// <param name="Lost">Of these, not solved.</param>
/// <param name="LeftOver">Work that still waits or runs after all is solved.</param>
internal sealed record DistributedCounts(int Kills, int Restarts, int Accepted, int Solved, int Twice, int Lost, int LeftOver)
{
    public bool IsSound => Kills > 0 && Accepted > 0 && Solved == Accepted && Twice == 0 && Lost == 0 && LeftOver == 0;
}

/// <summary>
/// Two web replicas and three workers on one queue server. Requests are posted to both replicas while processes are ended at random, half of them at once, and started again. At the end every request
/// that was answered 202 must be solved, once.
/// </summary>
internal sealed class DistributedRun(string serviceDll, string folder, int seed) : IDisposable
{
    private const int Replicas = 2, Workers = 3;

    private readonly Random _random = new(seed);
    private readonly HttpClient _client = new() { Timeout = TimeSpan.FromMinutes(5) };
    private readonly ConcurrentDictionary<string, int> _accepted = new();
    private readonly NatsServer _queue = new(Path.Combine(folder, "queue"));
    private readonly ConcurrentQueue<string> _logs = new();
    private readonly ServiceProcess?[] _processes = new ServiceProcess?[Replicas + Workers];
    private int _posted, _kills, _restarts;

    public async Task<DistributedCounts> Run(TimeSpan time, int kills, TextWriter log, CancellationToken cancellationToken)
    {
        for (int i = 0; i < _processes.Length; i++)
        {
            Start(i);
            await _processes[i]!.Answers(_client, "/health/ready", cancellationToken);
        }
        using var until = CancellationTokenSource.CreateLinkedTokenSource(cancellationToken);
        var clients = Enumerable.Range(0, 4).Select(i => Post(i % Replicas, until.Token)).ToArray();
        for (var watch = Stopwatch.StartNew(); watch.Elapsed < time && _kills < kills;)
        {
            int before = _accepted.Count;
            for (var wait = Stopwatch.StartNew(); _accepted.Count == before && wait.Elapsed < TimeSpan.FromSeconds(20);) await Task.Delay(20, cancellationToken);
            await Task.Delay(TimeSpan.FromSeconds(0.2 + 1.3 * _random.NextDouble()), cancellationToken);
            await End(_random.Next(_processes.Length));
            if ((_kills + _restarts) % 20 == 0) await log.WriteLineAsync($"{_kills} kills, {_restarts} restarts, {_accepted.Count} accepted");
        }
        await until.CancelAsync();
        await Task.WhenAll(clients);
        for (int i = 0; i < _processes.Length; i++) await _processes[i]!.Answers(_client, "/health/ready", cancellationToken);
        var counts = await Count(log, cancellationToken);
        if (!counts.IsSound)
        {
            await log.WriteLineAsync("what the processes logged:");
            foreach (string line in _logs) await log.WriteLineAsync(line);
        }
        return counts;
    }

    public void Dispose()
    {
        foreach (var process in _processes) process?.Dispose();
        _queue.Dispose();
        _client.Dispose();
    }

    private void Start(int index) => _processes[index] = new ServiceProcess(
        serviceDll, Path.Combine(folder, "unused"), line => _logs.Enqueue($"{index} {line}"), ("Queue", "nats"), ("QueueAddress", _queue.Address), ("Role", index < Replicas ? "web" : "worker"), ("LeaseSeconds", "3"),
        ("ConcurrentSolves", "1"), ("SmallSolveSeconds", "0"), ("QueueLength", "10000"), ("MaximumAttempts", "1000000"));

    private async Task End(int index)
    {
        using (var process = _processes[index]!)
        {
            if (_random.Next(2) == 0 || _kills == 0)
            {
                process.Kill();
                _kills++;
            }
            else
            {
                await process.Stop();
                _restarts++;
            }
        }
        Start(index);
    }

    private async Task Post(int replica, CancellationToken cancellationToken)
    {
        while (!cancellationToken.IsCancellationRequested)
        {
            try
            {
                int number = Interlocked.Increment(ref _posted);
                using var request = new HttpRequestMessage(HttpMethod.Post, new Uri(_processes[replica]!.Address, "/v1/solutions"))
                {
                    Content = new StringContent($$"""{ "layout": {{FaultRun.Plate(number)}}, "conditions": {{FaultRun.Conditions}}, "grid": { "pitchMm": 0.2 } }""", Encoding.UTF8, "application/json"),
                    Headers = { { "Prefer", "respond-async" } },
                };
                using var response = await _client.SendAsync(request, cancellationToken);
                if (response.StatusCode == HttpStatusCode.Accepted) _accepted[response.Headers.Location!.ToString()] = number;
                await Task.Delay(1000, cancellationToken); // four clients then ask for about as much as two cores solve
            }
            catch (Exception fault) when (fault is HttpRequestException or OperationCanceledException or IOException)
            {
                if (!cancellationToken.IsCancellationRequested) await Task.Delay(100, CancellationToken.None); // the replica was killed: what had no answer was not promised
            }
        }
    }

    private async Task<DistributedCounts> Count(TextWriter log, CancellationToken cancellationToken)
    {
        int solved = 0, lost = 0;
        foreach (var (address, number) in _accepted)
        {
            if (await Fault(address, number, cancellationToken) is { } fault)
            {
                await log.WriteLineAsync($"plate {number}, {address}: {fault}");
                lost++;
            }
            else solved++;
        }
        int twice = 0, leftOver = 0;
        for (int replica = 0; replica < Replicas; replica++)
        {
            var list = await Json(replica, "/v1/solutions", cancellationToken);
            var entries = list!.Value.GetProperty("solutions").EnumerateArray().ToList();
            twice += entries.GroupBy(e => e.GetProperty("id").GetString()).Count(group => group.Count() > 1);
            leftOver += entries.Count(e => e.GetProperty("state").GetString() != "solved");
        }
        return new(_kills, _restarts, _accepted.Count, solved, twice, lost, leftOver);
    }

    /// <summary>What is wrong with how a request ended; null: it is solved.</summary>
    private async Task<string?> Fault(string address, int number, CancellationToken cancellationToken)
    {
        for (var watch = Stopwatch.StartNew(); watch.Elapsed < TimeSpan.FromMinutes(5); await Task.Delay(20, cancellationToken))
        {
            int replica = _random.Next(Replicas);
            using var response = await _client.GetAsync(new Uri(_processes[replica]!.Address, address), cancellationToken);
            string body = await response.Content.ReadAsStringAsync(cancellationToken);
            if (!response.IsSuccessStatusCode) return $"{(int)response.StatusCode} {body}";
            var answer = JsonElement.Parse(body);
            string state = answer.GetProperty("state").GetString()!;
            if (state is "queued" or "running") continue;
            if (state != "solved") return body;
            if (answer.GetProperty("name").GetString() != $"plate {number}") return $"another board: {answer.GetProperty("name")}";
            using var field = await _client.GetAsync(new Uri(_processes[1 - replica]!.Address, address + "/layers/L1.npy"), cancellationToken);
            return field.IsSuccessStatusCode ? null : $"its field: {(int)field.StatusCode} {await field.Content.ReadAsStringAsync(cancellationToken)}";
        }
        return "not solved within five minutes";
    }

    private async Task<JsonElement?> Json(int replica, string address, CancellationToken cancellationToken)
    {
        using var response = await _client.GetAsync(new Uri(_processes[replica]!.Address, address), cancellationToken);
        return response.IsSuccessStatusCode ? JsonElement.Parse(await response.Content.ReadAsStringAsync(cancellationToken)) : null;
    }
}
