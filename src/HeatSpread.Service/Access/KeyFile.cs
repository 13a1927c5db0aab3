using System.Text.Json;
using HeatSpread.Service.Storage;

namespace HeatSpread.Service.Access;

/// <summary>
/// In one file of the data folder that is written whole. The command <c>keys</c> may change it while the service runs, so it is read again
/// when it has changed.
/// </summary>
/// <param name="root">The data folder.</param>
internal sealed class KeyFile(string root) : IKeyStore
{
    private readonly string _file = Path.Combine(root, "keys.json");
    private readonly Lock _gate = new();
    private (DateTime Changed, long Length) _stamp;
    private Dictionary<string, ApiKey> _keys = new(StringComparer.Ordinal);

    public IReadOnlyList<ApiKey> All
    {
        get
        {
            lock (_gate) return [.. Current().Values.OrderBy(k => k.Created)];
        }
    }

    public ApiKey? Find(string id)
    {
        lock (_gate) return Current().GetValueOrDefault(id);
    }

    public void Add(ApiKey key) => Change(keys => keys.TryAdd(key.Id, key));

    public bool Remove(string id) => Change(keys => keys.Remove(id));

    private bool Change(Func<Dictionary<string, ApiKey>, bool> change)
    {
        lock (_gate)
        {
            using var alone = HoldFile();
            var keys = new Dictionary<string, ApiKey>(Current(), StringComparer.Ordinal);
            if (!change(keys)) return false;
            WholeFile.Write(_file, JsonSerializer.SerializeToUtf8Bytes([.. keys.Values], ServiceJson.Written.ApiKeyArray));
            _keys = keys;
            _stamp = Stamp();
            return true;
        }
    }

    private Dictionary<string, ApiKey> Current()
    {
        if (Stamp() is var stamp && stamp != _stamp)
        {
            _keys = stamp.Length == 0 ? new(StringComparer.Ordinal) : JsonSerializer.Deserialize(File.ReadAllBytes(_file), ServiceJson.Written.ApiKeyArray)!.ToDictionary(k => k.Id, StringComparer.Ordinal);
            _stamp = stamp;
        }
        return _keys;
    }

    private (DateTime Changed, long Length) Stamp()
    {
        var file = new FileInfo(_file);
        return file.Exists ? (file.LastWriteTimeUtc, file.Length) : default;
    }

    /// <summary>Two processes do not change the file at once.</summary>
    private FileStream HoldFile()
    {
        const int tries = 100;
        for (int i = 1; ; i++)
        {
            try
            {
                return new FileStream(_file + ".lock", FileMode.OpenOrCreate, FileAccess.Write, FileShare.None);
            }
            catch (IOException) when (i < tries)
            {
                Thread.Sleep(20);
            }
        }
    }
}
