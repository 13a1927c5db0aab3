using System.Text.Json;
using HeatSpread.Service.Access;

namespace HeatSpread.Service.Distributed;

/// <summary>The API keys in a bucket that all processes share: one that is added or removed holds for all within milliseconds.</summary>
internal sealed class NatsKeys(NatsLink link, BucketMirror<ApiKey> keys) : IKeyStore
{
    public const string Bucket = "keys";

    public IReadOnlyList<ApiKey> All => Wait(link.Ask(
        async (_, token) =>
        {
            var all = new List<ApiKey>();
            await foreach (string id in (await link.Bucket(Bucket)).GetKeysAsync(cancellationToken: token))
            {
                if (await keys.Get(id, token) is { } key) all.Add(key.Value);
            }
            return all.OrderBy(key => key.Created).ToList();
        },
        CancellationToken.None));

    public static ApiKey Read(byte[] json) => JsonSerializer.Deserialize(json, ServiceJson.Written.ApiKey)!;

    public static byte[] Write(ApiKey key) => JsonSerializer.SerializeToUtf8Bytes(key, ServiceJson.Written.ApiKey);

    public ApiKey? Find(string id) => !id.All(char.IsAsciiHexDigitLower) ? null : (keys.KnownOf(id) ?? Wait(keys.Get(id, CancellationToken.None)))?.Value;

    public void Add(ApiKey key) => Wait(keys.Set(key.Id, key, revision: 0, CancellationToken.None));

    public bool Remove(string id) => id.Length > 0 && id.All(char.IsAsciiHexDigitLower) && Wait(keys.Get(id, CancellationToken.None)) is { } held && Wait(keys.Remove(id, held.Revision, CancellationToken.None));

    private static T Wait<T>(Task<T> task) => task.GetAwaiter().GetResult();
}
