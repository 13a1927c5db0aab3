using System.Text.Json.Serialization.Metadata;

namespace HeatSpread.Service.Storage;

/// <param name="Name">File name inside the entry.</param>
/// <param name="Content">Its bytes.</param>
internal sealed record EntryFile(string Name, ReadOnlyMemory<byte> Content);

/// <summary>
/// Entries of one kind of one tenant, each some files under the digest of what it holds, written once and never changed. An entry appears whole or not at all. Each file has its
/// SHA-256; an entry that does not meet them is set aside, reported and no longer served.
/// </summary>
/// <typeparam name="TLabels">What lists show of an entry.</typeparam>
internal interface IEntryStore<TLabels>
    where TLabels : class
{
    /// <summary>What is there, in no order.</summary>
    IEnumerable<KeyValuePair<string, TLabels>> Entries { get; }

    bool Contains(string id);

    TLabels? Labels(string id);

    /// <summary>Writes an entry.</summary>
    /// <returns>False where the entry was there already.</returns>
    bool Add(string id, TLabels labels, IReadOnlyList<EntryFile> files);

    /// <summary>Bytes of one file of an entry, as they were written.</summary>
    /// <returns>Null where there is no such entry.</returns>
    /// <exception cref="DamagedEntryException">They are not what was written; the entry has been set aside.</exception>
    byte[]? Read(string id, string file);

    /// <summary>Bytes of all files of an entry; 0 where there is none.</summary>
    long Bytes(string id);

    /// <returns>False where there was no such entry.</returns>
    bool Remove(string id);
}

/// <summary>Where entries are kept: a folder of this machine, or an object store that many share.</summary>
internal interface IStorage
{
    /// <summary>Tenants that have kept something; empty for the service without keys.</summary>
    IEnumerable<string> Tenants { get; }

    /// <param name="tenant">Whose entries; empty for the service without keys.</param>
    /// <param name="kind">Of entries; part of what is written down.</param>
    /// <param name="labels">How labels are written.</param>
    IEntryStore<TLabels> Open<TLabels>(string tenant, string kind, JsonTypeInfo<TLabels> labels)
        where TLabels : class;
}

/// <summary>All that one tenant keeps.</summary>
/// <param name="Tenant">Whose it is; empty for the service without keys.</param>
/// <param name="Storage">Of all.</param>
internal sealed record TenantStorage(string Tenant, IStorage Storage)
{
    public IEntryStore<TLabels> Open<TLabels>(string kind, JsonTypeInfo<TLabels> labels)
        where TLabels : class => Storage.Open(Tenant, kind, labels);
}
