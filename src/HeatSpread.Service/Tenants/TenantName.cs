namespace HeatSpread.Service.Tenants;

/// <summary>What a tenant may be called: it is the name of a folder too.</summary>
internal static class TenantName
{
    public const string Rule = "1 to 40 small letters, digits and hyphens, the first a letter or digit";

    public static bool IsValid(string name) => name.Length is > 0 and <= 40 && name[0] != '-' && name.All(c => c is '-' or (>= 'a' and <= 'z') or (>= '0' and <= '9'));
}
