using HeatSpread.Service.Storage;

namespace HeatSpread.Service.Tenants;

/// <summary>The folder of all that one tenant keeps.</summary>
/// <param name="Tenant">Whose it is; empty for the service without keys.</param>
/// <param name="Root">Full path.</param>
internal sealed record TenantFolder(string Tenant, string Root)
{
    private const string Tenants = "tenants";

    /// <summary>The service without keys keeps its things at the root of the data folder, every tenant in a folder of its own below.</summary>
    public static TenantFolder Of(string tenant, DataFolder data) => new(tenant, tenant.Length == 0 ? data.Root : Path.Combine(data.Root, Tenants, tenant));

    /// <summary>Tenants that have kept something, the service without keys first.</summary>
    public static IEnumerable<string> Known(DataFolder data)
    {
        string all = Path.Combine(data.Root, Tenants);
        return Directory.Exists(all) ? Directory.EnumerateDirectories(all).Select(folder => Path.GetFileName(folder)!).Order(StringComparer.Ordinal).Prepend("") : [""];
    }
}
