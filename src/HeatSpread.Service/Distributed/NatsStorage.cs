using System.Security.Cryptography;
using System.Text.Json;
using System.Text.Json.Serialization.Metadata;
using HeatSpread.Service.Storage;
using NATS.Client.ObjectStore;

namespace HeatSpread.Service.Distributed;

/// <summary>What an entry holds, written after its files are there: with it the entry appears.</summary>
/// <param name="Labels">JSON.</param>
/// <param name="Files">All.</param>
internal sealed record Manifest(string Labels, IReadOnlyList<ManifestFile> Files)
{
    private object? _read;

    /// <summary>The labels, read once.</summary>
    public TLabels LabelsAs<TLabels>(JsonTypeInfo<TLabels> type)
        where TLabels : class => (TLabels)(_read ??= JsonSerializer.Deserialize(Labels, type)!);
}

/// <param name="Name">In the entry.</param>
/// <param name="Object">In the store of files; no two writes of an entry share one.</param>
/// <param name="Bytes">Length.</param>
/// <param name="Sha256">Hexadecimal.</param>
internal sealed record ManifestFile(string Name, string Object, long Bytes, string Sha256);

/// <summary>
/// Entries in the object store of NATS, and their manifests in a bucket of keys and values: <c>tenant.kind.id</c>. Its calls wait for the server as calls of a file system wait for a disk.
/// </summary>
internal sealed class NatsStorage(NatsLink link, BucketMirror<Manifest> index, ILogger<NatsStorage> logger) : IStorage
{
    public IEnumerable<string> Tenants => index.Known.Select(entry => NatsLink.Tenant(entry.Key.Split('.')[0])).Append("").Distinct(StringComparer.Ordinal);

    public IEntryStore<TLabels> Open<TLabels>(string tenant, string kind, JsonTypeInfo<TLabels> labels)
        where TLabels : class => new NatsEntries<TLabels>(link, index, NatsLink.Token(tenant), kind, labels, logger);
}

/// <summary>The entries of one kind of one tenant.</summary>
internal sealed class NatsEntries<TLabels>(NatsLink link, BucketMirror<Manifest> index, string tenant, string kind, JsonTypeInfo<TLabels> type, ILogger logger) : IEntryStore<TLabels>
    where TLabels : class
{
    /// <summary>Readings of a file before its entry counts as damaged.</summary>
    private const int Looks = 3;

    private static readonly TimeSpan BetweenLooks = TimeSpan.FromMilliseconds(100);

    private readonly string _prefix = $"{tenant}.{kind}.";

    public IEnumerable<KeyValuePair<string, TLabels>> Entries =>
        index.Known.Where(entry => entry.Key.StartsWith(_prefix, StringComparison.Ordinal)).Select(entry => KeyValuePair.Create(entry.Key[_prefix.Length..], entry.Value.Value.LabelsAs(type)));

    public bool Contains(string id) => Find(id) is not null;

    public TLabels? Labels(string id) => Find(id)?.Value.LabelsAs(type);

    public bool Add(string id, TLabels labels, IReadOnlyList<EntryFile> files)
    {
        if (Contains(id)) return false;
        string write = Guid.NewGuid().ToString("N");
        var manifest = new Manifest(
            JsonSerializer.Serialize(labels, type),
            [.. files.Select(file => new ManifestFile(file.Name, $"{_prefix}{id}.{write}.{file.Name}", file.Content.Length, Convert.ToHexStringLower(SHA256.HashData(file.Content.Span))))]);
        Wait(link.Ask(
            async (_, token) =>
            {
                await Task.WhenAll(files.Zip(manifest.Files, (file, to) => link.Files.PutAsync(to.Object, file.Content.ToArray(), token).AsTask()));
                return true;
            },
            CancellationToken.None));
        if (Wait(index.Set(_prefix + id, manifest, revision: 0, CancellationToken.None)) is not null) return true;
        Delete(manifest); // another process wrote the same entry first
        return false;
    }

    public byte[]? Read(string id, string file)
    {
        if (Find(id) is not { } entry) return null;
        if (entry.Value.Files.FirstOrDefault(kept => kept.Name == file) is not { } kept) return null;
        for (int look = 1; ; look++)
        {
            byte[]? content = Wait(link.Ask((_, token) => Content(kept, token), CancellationToken.None));
            if (content is not null && Convert.ToHexStringLower(SHA256.HashData(content)) == kept.Sha256) return content;
            if (Wait(index.Get(_prefix + id, CancellationToken.None))?.Revision != entry.Revision) return null; // removed by another request meanwhile
            if (look == Looks) break;
            Thread.Sleep(BetweenLooks); // a reading that was torn is no damage
        }
        SetAside(id, entry);
        throw new DamagedEntryException($"The entry {id} of {kind} did not meet its checksum ({file}). It has been set aside and is no longer served; post the request again to make it anew.");
    }

    public long Bytes(string id) => Find(id)?.Value.Files.Sum(file => file.Bytes) ?? 0;

    public bool Remove(string id)
    {
        if (Wait(index.Get(_prefix + id, CancellationToken.None)) is not { } entry) return false;
        if (!Wait(index.Remove(_prefix + id, entry.Revision, CancellationToken.None))) return false;
        Delete(entry.Value);
        return true;
    }

    /// <summary>What was written a moment ago by another process may not be in the copy yet, so an id that is not there is asked for.</summary>
    private BucketValue<Manifest>? Find(string id)
    {
        string key = _prefix + id;
        return index.KnownOf(key) ?? (id.All(char.IsAsciiLetterOrDigit) && id.Length > 0 ? Wait(index.Get(key, CancellationToken.None)) : null);
    }

    private async Task<byte[]?> Content(ManifestFile file, CancellationToken cancellationToken)
    {
        try
        {
            return await link.Files.GetBytesAsync(file.Object, cancellationToken);
        }
        catch (NatsObjException)
        {
            return null; // not there, or not what its digest says
        }
    }

    private void SetAside(string id, BucketValue<Manifest> entry)
    {
        string place = $"{tenant}.damaged-{kind}.{id}-{entry.Revision}";
        Wait(index.Set(place, entry.Value, revision: 0, CancellationToken.None));
        Wait(index.Remove(_prefix + id, entry.Revision, CancellationToken.None));
        logger.EntrySetAside(kind, id, place);
    }

    private void Delete(Manifest manifest) => Wait(link.Ask(
        async (_, token) =>
        {
            foreach (var file in manifest.Files)
            {
                try
                {
                    await link.Files.DeleteAsync(file.Object, token);
                }
                catch (NatsObjException)
                {
                    // gone already
                }
            }
            return true;
        },
        CancellationToken.None));

    private static T Wait<T>(Task<T> task) => task.GetAwaiter().GetResult();
}
