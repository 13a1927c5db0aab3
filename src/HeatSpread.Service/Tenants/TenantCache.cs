using HeatSpread.Service.Storage;

namespace HeatSpread.Service.Tenants;

/// <summary>One tenant's part of a cache that all share: one bound on memory, but nothing that one has used is found by another.</summary>
/// <param name="tenant">Whose part.</param>
/// <param name="shared">Of all.</param>
internal readonly struct TenantCache<T>(string tenant, RecentlyUsed<T> shared)
    where T : class
{
    public T? Find(string id) => shared.Find(Key(id));

    public T? GetOrMake(string id, Func<T?> make) => shared.GetOrMake(Key(id), make);

    public void Forget(string id) => shared.Forget(Key(id));

    private string Key(string id) => $"{tenant}/{id}";
}
