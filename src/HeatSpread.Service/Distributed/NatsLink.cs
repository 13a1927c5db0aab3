using System.Collections.Concurrent;
using HeatSpread.Service.Jobs;
using Microsoft.Extensions.Options;
using NATS.Client.Core;
using NATS.Client.JetStream;
using NATS.Client.JetStream.Models;
using NATS.Client.KeyValueStore;
using NATS.Client.ObjectStore;

namespace HeatSpread.Service.Distributed;

/// <summary>
/// The connection to the NATS server and what is kept there, made where it is not: a stream of work and one of progress, buckets of the index, of states and of keys, and a store of files.
/// All names begin with <see cref="ServiceSettings.QueueName"/>, so that several installations may share a server.
/// </summary>
internal sealed class NatsLink : IAsyncDisposable
{
    private static readonly TimeSpan Patience = TimeSpan.FromSeconds(5);
    private static readonly TimeSpan KeepProgress = TimeSpan.FromMinutes(15);

    private readonly ServiceSettings _settings;
    private readonly NatsConnection _connection;
    private readonly NatsJSContext _streams;
    private readonly ConcurrentDictionary<string, Lazy<Task<INatsKVStore>>> _buckets = new(StringComparer.Ordinal);
    private readonly SemaphoreSlim _making = new(1);
    private INatsObjStore? _files;
    private bool _isMade;

    public NatsLink(IOptions<ServiceSettings> settings, ILoggerFactory loggers)
    {
        _settings = settings.Value;
        _connection = new NatsConnection(NatsOpts.Default with
        {
            Url = _settings.QueueAddress,
            Name = "heatspread",
            LoggerFactory = loggers,
            MaxReconnectRetry = -1,
            RetryOnInitialConnect = true,
            ReconnectWaitMax = TimeSpan.FromSeconds(2),
            SubPendingChannelFullMode = System.Threading.Channels.BoundedChannelFullMode.Wait,
        });
        _streams = new NatsJSContext(_connection);
    }

    public string WorkStream => $"{Name}-work";

    public string ProgressStream => $"{Name}-progress";

    public string AuditStream => $"{Name}-audit";

    /// <summary>Prefix of every name.</summary>
    public string Name => _settings.QueueName;

    /// <summary>The part of subjects and keys that is a tenant's. No tenant is called so as the one of the service without keys.</summary>
    public static string Token(string tenant) => tenant.Length == 0 ? "_" : tenant;

    public static string Tenant(string token) => token == "_" ? "" : token;

    /// <summary>Does something with the server.</summary>
    /// <exception cref="QueueAwayException">It does not answer in time.</exception>
    public async Task<T> Ask<T>(Func<NatsJSContext, CancellationToken, Task<T>> ask, CancellationToken cancellationToken)
    {
        using var patience = CancellationTokenSource.CreateLinkedTokenSource(cancellationToken);
        patience.CancelAfter(Patience);
        try
        {
            await Make(patience.Token);
            return await ask(_streams, patience.Token);
        }
        catch (Exception fault) when (fault is NatsException or ObjectDisposedException || (fault is OperationCanceledException && !cancellationToken.IsCancellationRequested))
        {
            throw new QueueAwayException("The queue and store of this service do not answer; try again later.", fault);
        }
    }

    /// <summary>A bucket of keys and values, made where it is not.</summary>
    public async Task<INatsKVStore> Bucket(string name)
    {
        var made = _buckets.GetOrAdd(name, _ => new(() => MakeBucket(name)));
        try
        {
            return await made.Value;
        }
        catch
        {
            _buckets.TryRemove(new(name, made)); // made by the next who asks
            throw;
        }
    }

    /// <summary>Where files are kept. Only inside <see cref="Ask"/>.</summary>
    public INatsObjStore Files => _files!;

    /// <summary>Whether the server answers now, stores included.</summary>
    public Task Check(CancellationToken cancellationToken) => Ask(async (streams, token) => await streams.GetStreamAsync(WorkStream, cancellationToken: token), cancellationToken);

    public async ValueTask DisposeAsync()
    {
        await _connection.DisposeAsync();
        _making.Dispose();
    }

    private async Task Make(CancellationToken cancellationToken)
    {
        if (_isMade) return;
        await _making.WaitAsync(cancellationToken);
        try
        {
            if (_isMade) return;
            await MakeStream(new(WorkStream, [$"{Name}.work.>"]) { Retention = StreamConfigRetention.Workqueue }, cancellationToken);
            await MakeStream(new(ProgressStream, [$"{Name}.progress.>"]) { MaxAge = KeepProgress, MaxMsgsPerSubject = 2000 }, cancellationToken);
            await MakeStream(new(AuditStream, [$"{Name}.audit.>"]), cancellationToken);
            _files = await new NatsObjContext(_streams).CreateObjectStoreAsync(new NatsObjConfig($"{Name}-files") { NumberOfReplicas = _settings.QueueReplicas }, cancellationToken);
            _isMade = true;
        }
        finally
        {
            _making.Release();
        }
    }

    private async Task MakeStream(StreamConfig stream, CancellationToken cancellationToken)
    {
        stream.NumReplicas = _settings.QueueReplicas;
        await _streams.CreateOrUpdateStreamAsync(stream, cancellationToken);
    }

    private async Task<INatsKVStore> MakeBucket(string name)
    {
        using var patience = new CancellationTokenSource(Patience);
        return await new NatsKVContext(_streams).CreateOrUpdateStoreAsync(new NatsKVConfig($"{Name}-{name}") { History = 1, NumberOfReplicas = _settings.QueueReplicas }, patience.Token);
    }
}
