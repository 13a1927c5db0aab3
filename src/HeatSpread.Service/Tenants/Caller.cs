using HeatSpread.Service.Access;

namespace HeatSpread.Service.Tenants;

/// <summary>Who asks. Set once for each request, before its route runs.</summary>
internal sealed class Caller
{
    /// <summary>Whose workspace the request works in; empty: the service without keys.</summary>
    public string Tenant { get; set; } = "";

    /// <summary>With what key; null: the service without keys, or nobody known.</summary>
    public ApiKey? Key { get; set; }
}
