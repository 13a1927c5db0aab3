using System.Collections.Concurrent;
using System.Globalization;
using System.Text;
using HeatSpread.Service.Jobs;
using Microsoft.Extensions.Options;
using NATS.Client.JetStream;
using NATS.Client.JetStream.Models;

namespace HeatSpread.Service.Distributed;

/// <summary>
/// The stream of work: a consumer for small and one for large work of each tenant. A worker turns to the tenant of which all workers together have done the least, so no number of jobs of one keeps another
/// waiting, and takes a tenant's small work first, but every fourth time its large work.
/// </summary>
internal sealed class WorkSource(NatsLink link, IOptions<ServiceSettings> settings, TimeProvider clock, ILogger<WorkSource> logger) : BackgroundService
{
    private const string Small = "small", Large = "large";
    private const int LargeFirst = 4;

    private static readonly TimeSpan BetweenLooks = TimeSpan.FromSeconds(1), BetweenSearches = TimeSpan.FromSeconds(5);

    private readonly ConcurrentDictionary<string, Lazy<Task<INatsJSConsumer>>> _consumers = new(StringComparer.Ordinal);
    private readonly Lock _gate = new();
    private readonly Dictionary<string, double> _clocks = new(StringComparer.Ordinal);
    private readonly string _self = Guid.NewGuid().ToString("N");
    private TaskCompletionSource _wake = New();
    private DateTimeOffset _searched;
    private int _turns;

    /// <summary>Puts a message into the stream; a second of the same run within two minutes is none.</summary>
    /// <returns>Its sequence number.</returns>
    public async Task<ulong> Put(WorkMessage message, double expectedSeconds, CancellationToken cancellationToken)
    {
        string name = Name(NatsLink.Token(message.Tenant), expectedSeconds <= settings.Value.SmallSolveSeconds ? Small : Large);
        await Consumer(name, cancellationToken); // so that there is one who may take it
        return await link.Ask(
            async (streams, token) =>
            {
                var kept = await streams.PublishAsync(Subject(name), message.Write(), opts: new NatsJSPubOpts { MsgId = message.Run }, cancellationToken: token);
                kept.EnsureSuccess();
                await streams.Connection.PublishAsync($"{link.Name}.wake", Array.Empty<byte>(), cancellationToken: token);
                return kept.Seq;
            },
            cancellationToken);
    }

    /// <summary>Takes a message away that nobody has taken.</summary>
    public Task Withdraw(ulong sequence, CancellationToken cancellationToken) => link.Ask(
        async (streams, token) =>
        {
            try
            {
                await streams.DeleteMessageAsync(link.WorkStream, new StreamMsgDeleteRequest { Seq = sequence, NoErase = true }, token);
            }
            catch (NatsJSApiException)
            {
                // it has been taken and ended meanwhile
            }
            return true;
        },
        cancellationToken);

    /// <summary>The next message for a worker of this process.</summary>
    /// <param name="onlySmall">Leaves large work to others.</param>
    /// <param name="cancellationToken">Stops waiting.</param>
    public async Task<INatsJSMsg<byte[]>> Take(bool onlySmall, CancellationToken cancellationToken)
    {
        while (true)
        {
            var wake = _wake.Task; // before the look, so that what comes in the middle of it wakes
            await Search(cancellationToken);
            foreach (string tenant in Order())
            {
                bool largeFirst = Interlocked.Increment(ref _turns) % LargeFirst == 0;
                string[] sizes = onlySmall ? [Small] : largeFirst ? [Large, Small] : [Small, Large];
                foreach (string size in sizes)
                {
                    if (await TryTake(Name(tenant, size), cancellationToken) is not { } message) continue;
                    return message;
                }
            }
            await Task.WhenAny(wake, Task.Delay(BetweenLooks, clock, cancellationToken));
            cancellationToken.ThrowIfCancellationRequested();
        }
    }

    /// <summary>Work of a tenant was begun: at every worker others are before it for as long as it is expected to take.</summary>
    public async Task Charge(string tenant, double expectedSeconds)
    {
        string token = NatsLink.Token(tenant);
        Add(token, expectedSeconds);
        await link.Ask(
            async (streams, cancellation) =>
            {
                await streams.Connection.PublishAsync(ChargedSubject, Encoding.ASCII.GetBytes(string.Create(CultureInfo.InvariantCulture, $"{_self} {token} {expectedSeconds:R}")), cancellationToken: cancellation);
                return true;
            },
            CancellationToken.None);
    }

    protected override Task ExecuteAsync(CancellationToken stoppingToken) => Task.WhenAll(Wake(stoppingToken), Listen(stoppingToken));

    /// <summary>Tenants, the one that has had the least done first. One that comes new cannot claim what it did not ask for in the past.</summary>
    internal string[] Order()
    {
        lock (_gate)
        {
            string[] tenants = [.. _consumers.Keys.Select(name => name[..name.LastIndexOf('-')]).Distinct(StringComparer.Ordinal)];
            double least = tenants.Where(_clocks.ContainsKey).Select(tenant => _clocks[tenant]).DefaultIfEmpty(0).Min();
            foreach (string tenant in tenants) _clocks.TryAdd(tenant, least);
            return [.. tenants.OrderBy(tenant => _clocks[tenant])];
        }
    }

    private string ChargedSubject => $"{link.Name}.charged";

    private void Add(string token, double seconds)
    {
        lock (_gate) _clocks[token] = _clocks.GetValueOrDefault(token) + seconds;
    }

    /// <summary>Hears what other workers have begun.</summary>
    private async Task Listen(CancellationToken stoppingToken)
    {
        while (!stoppingToken.IsCancellationRequested)
        {
            try
            {
                var connection = await link.Ask((streams, _) => Task.FromResult(streams.Connection), stoppingToken);
                await foreach (var message in connection.SubscribeAsync<byte[]>(ChargedSubject, cancellationToken: stoppingToken))
                {
                    if (Encoding.ASCII.GetString(message.Data ?? []).Split(' ') is [var worker, var token, var seconds] && worker != _self && double.TryParse(seconds, CultureInfo.InvariantCulture, out double expected)) Add(token, expected);
                }
            }
            catch (OperationCanceledException) when (stoppingToken.IsCancellationRequested)
            {
                return;
            }
            catch (Exception fault) // until it hears again, this worker is fair by what it does itself
            {
                logger.MirrorFault(ChargedSubject, fault);
                await Task.Delay(BetweenLooks, stoppingToken);
            }
        }
    }

    private async Task Wake(CancellationToken stoppingToken)
    {
        while (!stoppingToken.IsCancellationRequested)
        {
            try
            {
                var connection = await link.Ask((streams, _) => Task.FromResult(streams.Connection), stoppingToken);
                await foreach (var _ in connection.SubscribeAsync<byte[]>($"{link.Name}.wake", cancellationToken: stoppingToken)) Interlocked.Exchange(ref _wake, New()).TrySetResult();
            }
            catch (OperationCanceledException) when (stoppingToken.IsCancellationRequested)
            {
                return;
            }
            catch (Exception fault) // workers look once a second all the same
            {
                logger.MirrorFault($"{link.Name}.wake", fault);
                await Task.Delay(BetweenLooks, stoppingToken);
            }
        }
    }

    /// <summary>Looks for consumers that other processes have made.</summary>
    private async Task Search(CancellationToken cancellationToken)
    {
        lock (_gate)
        {
            if (clock.GetUtcNow() - _searched < BetweenSearches) return;
            _searched = clock.GetUtcNow();
        }
        var names = await link.Ask(
            async (streams, token) =>
            {
                var found = new List<string>();
                await foreach (string name in streams.ListConsumerNamesAsync(link.WorkStream, token)) found.Add(name);
                return found;
            },
            cancellationToken);
        foreach (string name in names) await Consumer(name, cancellationToken);
    }

    private async Task<INatsJSMsg<byte[]>?> TryTake(string name, CancellationToken cancellationToken)
    {
        if (!_consumers.ContainsKey(name)) return null;
        var consumer = await Consumer(name, cancellationToken);
        return await link.Ask(
            async (_, token) =>
            {
                await foreach (var message in consumer.FetchNoWaitAsync<byte[]>(new NatsJSFetchOpts { MaxMsgs = 1 }, cancellationToken: token)) return message;
                return null;
            },
            cancellationToken);
    }

    private async Task<INatsJSConsumer> Consumer(string name, CancellationToken cancellationToken)
    {
        var made = _consumers.GetOrAdd(name, _ => new(() => Make(name)));
        try
        {
            return await made.Value.WaitAsync(cancellationToken);
        }
        catch (QueueAwayException)
        {
            _consumers.TryRemove(new(name, made));
            throw;
        }
    }

    private Task<INatsJSConsumer> Make(string name) => link.Ask(
        (streams, token) => streams.CreateOrUpdateConsumerAsync(
            link.WorkStream,
            new ConsumerConfig(name) { FilterSubject = Subject(name), AckPolicy = ConsumerConfigAckPolicy.Explicit, AckWait = TimeSpan.FromSeconds(settings.Value.LeaseSeconds), MaxDeliver = -1, MaxAckPending = -1 },
            token).AsTask(),
        CancellationToken.None);

    private static string Name(string tenant, string size) => $"{tenant}-{size}";

    private string Subject(string consumer) => $"{link.Name}.work.{consumer}";

    private static TaskCompletionSource New() => new(TaskCreationOptions.RunContinuationsAsynchronously);
}
