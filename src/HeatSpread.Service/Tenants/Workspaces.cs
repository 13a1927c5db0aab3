using System.Collections.Concurrent;
using HeatSpread.Service.Storage;

namespace HeatSpread.Service.Tenants;

/// <summary>The workspaces of all tenants, opened as they are asked for.</summary>
internal sealed class Workspaces(IStorage storage, IServiceProvider services)
{
    private readonly ConcurrentDictionary<string, Lazy<Workspace>> _open = new(StringComparer.Ordinal);

    /// <param name="tenant">A name that <see cref="TenantName"/> allows, or empty for the service without keys.</param>
    public Workspace Of(string tenant) => _open.GetOrAdd(tenant, name => new(() => new Workspace(new(name, storage), services))).Value;

    /// <summary>Every workspace that has kept something.</summary>
    public IEnumerable<Workspace> All() => storage.Tenants.Select(Of);
}
