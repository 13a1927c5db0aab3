using System.Globalization;
using HeatSpread.Service.Tenants;

namespace HeatSpread.Service.Access;

/// <summary>The command <c>keys</c>, which makes the first key and works whether or not the service runs.</summary>
internal static class KeyCommand
{
    private const string Usage = """
        keys add NAME --tenant TENANT --scopes read,write,admin [--days N]   makes a key and prints it, this once
        keys list                                                            lists keys, without their secrets
        keys remove ID                                                       removes a key
        """;

    /// <param name="args">After the word <c>keys</c>.</param>
    /// <param name="keys">Of the data folder.</param>
    /// <param name="now">The time.</param>
    /// <param name="output">Where answers go.</param>
    /// <returns>Exit code.</returns>
    public static int Run(string[] args, IKeyStore keys, DateTimeOffset now, TextWriter output)
    {
        switch (args)
        {
            case ["add", var name, .. var options]:
                return Add(name, options, keys, now, output);
            case ["list"]:
                foreach (var key in keys.All) output.WriteLine($"{key.Id}  {key.Name,-24} {key.Tenant,-16} {string.Join(',', key.Scopes),-18} {(key.Expires is { } end ? $"until {end.ToString("u", CultureInfo.InvariantCulture)}" : "no end")}");
                return 0;
            case ["remove", var id]:
                bool removed = keys.Remove(id);
                output.WriteLine(removed ? $"The key {id} is removed." : $"There is no key {id}.");
                return removed ? 0 : 1;
            default:
                output.WriteLine(Usage);
                return 2;
        }
    }

    private static int Add(string name, string[] options, IKeyStore keys, DateTimeOffset now, TextWriter output)
    {
        var given = new Dictionary<string, string>(StringComparer.Ordinal);
        for (int i = 0; i + 1 < options.Length; i += 2) given[options[i]] = options[i + 1];
        string tenant = given.GetValueOrDefault("--tenant", "");
        var scopes = Scopes.Parse(given.GetValueOrDefault("--scopes", "read,write").Split(','));
        int days = 0;
        bool daysAreSound = !given.TryGetValue("--days", out string? text) || (int.TryParse(text, NumberStyles.None, CultureInfo.InvariantCulture, out days) && days > 0);
        if (options.Length % 2 != 0 || given.Keys.Any(k => k is not ("--tenant" or "--scopes" or "--days")) || !TenantName.IsValid(tenant) || scopes == Scope.None || !daysAreSound)
        {
            output.WriteLine(Usage);
            output.WriteLine($"TENANT: {TenantName.Rule}.");
            return 2;
        }
        var (key, secret) = ApiKey.Make(name, tenant, scopes, now, days > 0 ? now.AddDays(days) : null);
        keys.Add(key);
        output.WriteLine(secret);
        return 0;
    }
}
