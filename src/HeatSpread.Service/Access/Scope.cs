using System.Text.Json.Serialization;

namespace HeatSpread.Service.Access;

/// <summary>What a key allows. None includes another.</summary>
[Flags]
internal enum Scope
{
    None = 0,

    /// <summary>Read layouts, solutions, pictures.</summary>
    [JsonStringEnumMemberName("read")]
    Read = 1,

    /// <summary>Post, cancel and remove them.</summary>
    [JsonStringEnumMemberName("write")]
    Write = 2,

    /// <summary>Keys, the audit log and the metrics of the whole service.</summary>
    [JsonStringEnumMemberName("admin")]
    Admin = 4,
}

internal static class Scopes
{
    public const Scope All = Scope.Read | Scope.Write | Scope.Admin;

    public static IReadOnlyList<string> Names { get; } = ["read", "write", "admin"];

    public static string[] NamesOf(Scope scopes) => [.. Names.Where((_, bit) => scopes.HasFlag((Scope)(1 << bit)))];

    /// <returns>None where a name is unknown or there is none.</returns>
    public static Scope Parse(IEnumerable<string> names)
    {
        var scopes = Scope.None;
        foreach (string name in names)
        {
            int bit = Names.ToList().IndexOf(name);
            if (bit < 0) return Scope.None;
            scopes |= (Scope)(1 << bit);
        }
        return scopes;
    }
}

/// <summary>What a route needs where its method does not say it: GET needs <see cref="Scope.Read"/>, anything else <see cref="Scope.Write"/>.</summary>
internal sealed record NeedsScope(Scope Scope);
