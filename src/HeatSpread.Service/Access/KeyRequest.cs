using System.Globalization;
using System.Text.Json;
using HeatSpread.Boards;
using HeatSpread.Service.Tenants;

namespace HeatSpread.Service.Access;

/// <summary>A key that is asked for.</summary>
internal sealed record KeyRequest(string Name, string Tenant, Scope Scopes, DateTimeOffset? Expires)
{
    private const int LongestName = 100;

    /// <summary>Reads <c>{ "name", "tenant", "scopes": [], "expires" }</c>, every fault listed.</summary>
    public static Reading<KeyRequest> Read(JsonElement json, DateTimeOffset now)
    {
        if (json.ValueKind != JsonValueKind.Object) return new(null, [new Fault("", "Must be an object with `name`, `tenant` and `scopes`.")]);
        List<Fault> faults = [];
        string name = "", tenant = "";
        var scopes = Scope.None;
        DateTimeOffset? expires = null;
        foreach (var member in json.EnumerateObject())
        {
            switch (member.Name)
            {
                case "name": name = Text(member.Value); break;
                case "tenant": tenant = Text(member.Value); break;
                case "scopes": scopes = Access.Scopes.Parse(member.Value.ValueKind == JsonValueKind.Array ? member.Value.EnumerateArray().Select(Text) : [""]); break;
                case "expires" when member.Value.ValueKind == JsonValueKind.Null: break;
                case "expires":
                    if (DateTimeOffset.TryParse(Text(member.Value), CultureInfo.InvariantCulture, DateTimeStyles.AssumeUniversal, out var end) && end > now) expires = end;
                    else faults.Add(new("/expires", "`expires` must be a time to come, such as 2030-01-31T00:00:00Z, or null."));
                    break;
                default: faults.Add(new("/" + member.Name.Replace("~", "~0", StringComparison.Ordinal).Replace("/", "~1", StringComparison.Ordinal), $"`{member.Name}` is not known here; known are `name`, `tenant`, `scopes`, `expires`.")); break;
            }
        }
        if (name.Length is 0 or > LongestName) faults.Add(new("/name", $"`name` must be a text of 1 to {LongestName} characters."));
        if (!TenantName.IsValid(tenant)) faults.Add(new("/tenant", $"`tenant` must be {TenantName.Rule}."));
        if (scopes == Scope.None) faults.Add(new("/scopes", $"`scopes` must be an array of at least one of {string.Join(", ", Access.Scopes.Names)}."));
        return new(faults.Count == 0 ? new KeyRequest(name, tenant, scopes, expires) : null, faults);
    }

    private static string Text(JsonElement value) => value.ValueKind == JsonValueKind.String ? value.GetString()! : "";
}
