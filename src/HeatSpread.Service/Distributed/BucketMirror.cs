using System.Collections.Concurrent;
using NATS.Client.KeyValueStore;

namespace HeatSpread.Service.Distributed;

/// <param name="Value">As it is kept.</param>
/// <param name="Revision">Of the key; greater ones are later.</param>
internal sealed record BucketValue<T>(T Value, ulong Revision)
    where T : class;

/// <summary>
/// A bucket of keys and values, with a copy in memory that follows what all processes write, some milliseconds behind. Lists are made of the copy; what must be right is asked of the server.
/// </summary>
/// <typeparam name="T">Of the values.</typeparam>
internal sealed class BucketMirror<T>(NatsLink link, string bucket, Func<byte[], T> read, Func<T, byte[]> write, ILogger logger) : BackgroundService
    where T : class
{
    private static readonly TimeSpan AfterFault = TimeSpan.FromSeconds(1);

    private readonly ConcurrentDictionary<string, BucketValue<T>> _copy = new(StringComparer.Ordinal);
    private volatile bool _isWhole;

    /// <summary>Whether everything that was there at the start is in the copy.</summary>
    public bool IsWhole => _isWhole;

    /// <summary>As far as it is known here.</summary>
    public IEnumerable<KeyValuePair<string, BucketValue<T>>> Known => _copy;

    public BucketValue<T>? KnownOf(string key) => _copy.GetValueOrDefault(key);

    /// <summary>As it is now.</summary>
    public Task<BucketValue<T>?> Get(string key, CancellationToken cancellationToken) => link.Ask(
        async (_, token) =>
        {
            var found = await (await link.Bucket(bucket)).TryGetEntryAsync<byte[]>(key, cancellationToken: token);
            if (found.Success) return found.Value.Value is { } bytes ? Keep(key, new(read(bytes), found.Value.Revision)) : null;
            if (found.Error is not (NatsKVKeyNotFoundException or NatsKVKeyDeletedException)) throw found.Error;
            _copy.TryRemove(key, out var _);
            return null;
        },
        cancellationToken);

    /// <summary>Writes a value where nobody has written since.</summary>
    /// <param name="key">Letters, digits, dots and hyphens.</param>
    /// <param name="value">New.</param>
    /// <param name="revision">Of the value that it replaces; 0: there is none.</param>
    /// <param name="cancellationToken">Gives up.</param>
    /// <returns>The revision; null where somebody has.</returns>
    public Task<ulong?> Set(string key, T value, ulong revision, CancellationToken cancellationToken) => link.Ask(
        async (_, token) =>
        {
            var store = await link.Bucket(bucket);
            byte[] bytes = write(value);
            var set = revision == 0 ? await store.TryCreateAsync(key, bytes, cancellationToken: token) : await store.TryUpdateAsync(key, bytes, revision, cancellationToken: token);
            if (set.Success)
            {
                Keep(key, new(value, set.Value));
                return set.Value;
            }
            return set.Error is NatsKVCreateException or NatsKVWrongLastRevisionException ? (ulong?)null : throw set.Error;
        },
        cancellationToken);

    /// <returns>False where somebody has written since.</returns>
    public Task<bool> Remove(string key, ulong revision, CancellationToken cancellationToken) => link.Ask(
        async (_, token) =>
        {
            var removed = await (await link.Bucket(bucket)).TryDeleteAsync(key, new NatsKVDeleteOpts { Revision = revision }, token);
            if (removed.Success) _copy.TryRemove(key, out var _);
            return removed.Success || (removed.Error is NatsKVWrongLastRevisionException ? false : throw removed.Error);
        },
        cancellationToken);

    protected override async Task ExecuteAsync(CancellationToken stoppingToken)
    {
        while (!stoppingToken.IsCancellationRequested)
        {
            try
            {
                var store = await link.Ask((_, _) => link.Bucket(bucket), stoppingToken);
                var options = new NatsKVWatchOpts { OnNoData = _ => ValueTask.FromResult(!(_isWhole = true)) };
                await foreach (var entry in store.WatchAsync<byte[]>(opts: options, cancellationToken: stoppingToken))
                {
                    if (entry.Operation == NatsKVOperation.Put && entry.Value is { } bytes) Keep(entry.Key, new(read(bytes), entry.Revision));
                    else if (_copy.TryGetValue(entry.Key, out var held) && held.Revision < entry.Revision) _copy.TryRemove(new(entry.Key, held));
                    if (entry.Delta == 0) _isWhole = true;
                }
            }
            catch (OperationCanceledException) when (stoppingToken.IsCancellationRequested)
            {
                return;
            }
            catch (Exception fault) // the copy must go on whatever happens
            {
                logger.MirrorFault(bucket, fault);
                await Task.Delay(AfterFault, stoppingToken);
            }
        }
    }

    private BucketValue<T> Keep(string key, BucketValue<T> value) => _copy.AddOrUpdate(key, value, (_, held) => held.Revision >= value.Revision ? held : value);
}
