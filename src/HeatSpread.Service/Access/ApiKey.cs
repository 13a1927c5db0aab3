using System.Security.Cryptography;
using System.Text;

namespace HeatSpread.Service.Access;

/// <summary>A key as it is kept: its secret is not, only that secret's digest.</summary>
/// <param name="Id">Public part, 16 hexadecimal digits.</param>
/// <param name="Name">What or who uses it.</param>
/// <param name="Tenant">Whose workspace it opens.</param>
/// <param name="Scopes">Names of what it allows.</param>
/// <param name="SecretSha256">Hexadecimal.</param>
/// <param name="Created">When it was made.</param>
/// <param name="Expires">From then on it opens nothing; null: never.</param>
internal sealed record ApiKey(string Id, string Name, string Tenant, IReadOnlyList<string> Scopes, string SecretSha256, DateTimeOffset Created, DateTimeOffset? Expires)
{
    private const string Prefix = "hs";
    private const int SecretBytes = 32;

    private static readonly byte[] NoSecret = new byte[SHA256.HashSizeInBytes];

    /// <summary>A new key, and its text, which is never to be had again.</summary>
    public static (ApiKey Key, string Text) Make(string name, string tenant, Scope scopes, DateTimeOffset created, DateTimeOffset? expires)
    {
        string id = Convert.ToHexStringLower(RandomNumberGenerator.GetBytes(8)), secret = Convert.ToHexStringLower(RandomNumberGenerator.GetBytes(SecretBytes));
        return (new(id, name, tenant, Access.Scopes.NamesOf(scopes), Convert.ToHexStringLower(Digest(secret)), created, expires), $"{Prefix}_{id}_{secret}");
    }

    /// <summary>Id and secret of a key's text; null where it has not the form of one.</summary>
    public static (string Id, string Secret)? Split(string text) => text.Split('_') is [Prefix, { Length: 16 } id, { Length: 2 * SecretBytes } secret] ? (id, secret) : null;

    /// <summary>Compares in a time that does not depend on where they differ, nor on whether there is such a key.</summary>
    /// <param name="key">Null: none of that id.</param>
    /// <param name="secret">As presented.</param>
    public static bool Matches(ApiKey? key, string secret) =>
        CryptographicOperations.FixedTimeEquals(key is null ? NoSecret : Convert.FromHexString(key.SecretSha256), Digest(secret)) && key is not null;

    // 256 random bits need no slow hash: there is no dictionary of them.
    private static byte[] Digest(string secret) => SHA256.HashData(Encoding.ASCII.GetBytes(secret));
}
