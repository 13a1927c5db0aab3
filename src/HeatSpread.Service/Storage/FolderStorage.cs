using System.Text.Json.Serialization.Metadata;
using HeatSpread.Service.Tenants;

namespace HeatSpread.Service.Storage;

/// <summary>Entries in the data folder of this process.</summary>
internal sealed class FolderStorage(DataFolder data, ILogger<FolderStorage> logger) : IStorage
{
    public IEnumerable<string> Tenants => TenantFolder.Known(data);

    public IEntryStore<TLabels> Open<TLabels>(string tenant, string kind, JsonTypeInfo<TLabels> labels)
        where TLabels : class => new EntryFolder<TLabels>(TenantFolder.Of(tenant, data).Root, kind, labels, logger);
}
