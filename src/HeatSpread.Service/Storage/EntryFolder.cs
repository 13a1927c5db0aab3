using System.Collections.Concurrent;
using System.Runtime.ExceptionServices;
using System.Security.Cryptography;
using System.Text;
using System.Text.Json;
using System.Text.Json.Serialization.Metadata;

namespace HeatSpread.Service.Storage;

/// <summary>
/// A folder of entries, each a folder of files: it is written beside, flushed to disk and renamed. Each carries its checksums in <c>SHA256SUMS</c> (the format of the tool of
/// that name); an entry that does not meet them is moved to <c>damaged</c>.
/// </summary>
/// <typeparam name="TLabels">What lists show of an entry.</typeparam>
internal sealed class EntryFolder<TLabels> : IEntryStore<TLabels>
    where TLabels : class
{
    private const string LabelsFile = "labels.json";
    private const string SumsFile = "SHA256SUMS";

    private readonly string _entries, _incoming, _damaged, _kind;
    private readonly JsonTypeInfo<TLabels> _labelsType;
    private readonly ILogger _logger;
    private readonly ConcurrentDictionary<string, TLabels> _index = new(StringComparer.Ordinal);

    /// <param name="root">Folder of all that one tenant keeps.</param>
    /// <param name="kind">Name of the folder of these entries, and of the entries in messages.</param>
    /// <param name="labelsType">How labels are written.</param>
    /// <param name="logger">Told of damage.</param>
    public EntryFolder(string root, string kind, JsonTypeInfo<TLabels> labelsType, ILogger logger)
    {
        _kind = kind;
        _labelsType = labelsType;
        _logger = logger;
        _entries = Path.Combine(root, kind);
        _incoming = Path.Combine(root, "incoming", kind);
        _damaged = Path.Combine(root, "damaged", kind);
        if (Directory.Exists(_incoming)) Directory.Delete(_incoming, recursive: true); // left by a process that was killed in mid-write
        Directory.CreateDirectory(_entries);
        Directory.CreateDirectory(_incoming);
        foreach (string entry in Directory.EnumerateDirectories(_entries)) Load(Path.GetFileName(entry));
    }

    public IEnumerable<KeyValuePair<string, TLabels>> Entries => _index;

    public bool Contains(string id) => _index.ContainsKey(id);

    public TLabels? Labels(string id) => _index.GetValueOrDefault(id);

    public bool Add(string id, TLabels labels, IReadOnlyList<EntryFile> files)
    {
        if (Contains(id)) return false;
        string beside = Path.Combine(_incoming, $"{id}-{Guid.NewGuid():N}");
        Directory.CreateDirectory(beside);
        try
        {
            EntryFile[] all = [.. files, new(LabelsFile, JsonSerializer.SerializeToUtf8Bytes(labels, _labelsType))];
            var sums = new string[all.Length];
            // Side by side: each waits for the disk.
            Parallel.For(0, all.Length, i =>
            {
                WholeFile.WriteThrough(Path.Combine(beside, all[i].Name), all[i].Content.Span);
                sums[i] = $"{Sum(all[i].Content.Span)}  {all[i].Name}\n";
            });
            WholeFile.WriteThrough(Path.Combine(beside, SumsFile), Encoding.UTF8.GetBytes(string.Concat(sums)));
            return Publish(id, beside, labels);
        }
        catch (AggregateException faults)
        {
            ExceptionDispatchInfo.Throw(faults.InnerExceptions[0]); // callers know what a full disk says by itself
            throw;
        }
        finally
        {
            if (Directory.Exists(beside)) Directory.Delete(beside, recursive: true);
        }
    }

    public byte[]? Read(string id, string file)
    {
        if (!Contains(id)) return null;
        try
        {
            byte[] content = File.ReadAllBytes(Path.Combine(_entries, id, file));
            if (ReadSums(id).TryGetValue(file, out string? sum) && sum == Sum(content)) return content;
        }
        catch (Exception fault) when (fault is FileNotFoundException or DirectoryNotFoundException)
        {
            if (!Contains(id)) return null; // removed by another request meanwhile
        }
        SetAside(id);
        throw new DamagedEntryException($"The entry {id} of {_kind} did not meet its checksum ({file}). It has been set aside and is no longer served; post the request again to make it anew.");
    }

    public long Bytes(string id)
    {
        var folder = new DirectoryInfo(Path.Combine(_entries, id));
        return folder.Exists ? folder.EnumerateFiles().Sum(file => file.Length) : 0;
    }

    public bool Remove(string id)
    {
        if (!_index.TryRemove(id, out _)) return false;
        string beside = Path.Combine(_incoming, $"{id}-removed-{Guid.NewGuid():N}");
        Directory.Move(Path.Combine(_entries, id), beside);
        Directory.Delete(beside, recursive: true);
        return true;
    }

    private bool Publish(string id, string beside, TLabels labels)
    {
        string final = Path.Combine(_entries, id);
        try
        {
            WholeFile.FlushFolder(beside);
            Directory.Move(beside, final);
            WholeFile.FlushFolder(_entries);
        }
        catch (IOException) when (Directory.Exists(final))
        {
            return false; // another request wrote the same content first
        }
        _index[id] = labels;
        return true;
    }

    private void Load(string id)
    {
        string file = Path.Combine(_entries, id, LabelsFile);
        try
        {
            byte[] content = File.ReadAllBytes(file);
            if (ReadSums(id).TryGetValue(LabelsFile, out string? sum) && sum == Sum(content) && JsonSerializer.Deserialize(content, _labelsType) is { } labels)
            {
                _index[id] = labels;
                return;
            }
        }
        catch (Exception fault) when (fault is FileNotFoundException or JsonException)
        {
            _logger.EntryUnreadable(file, fault);
        }
        SetAside(id);
    }

    private Dictionary<string, string> ReadSums(string id)
    {
        const int sumLength = 64;
        var sums = new Dictionary<string, string>(StringComparer.Ordinal);
        foreach (string line in File.ReadLines(Path.Combine(_entries, id, SumsFile)))
        {
            if (line.Length > sumLength + 2) sums[line[(sumLength + 2)..]] = line[..sumLength];
        }
        return sums;
    }

    private void SetAside(string id)
    {
        _index.TryRemove(id, out _);
        string place = Path.Combine(_damaged, $"{id}-{Guid.NewGuid():N}");
        Directory.CreateDirectory(_damaged);
        try
        {
            Directory.Move(Path.Combine(_entries, id), place);
        }
        catch (DirectoryNotFoundException)
        {
            return; // another request has set it aside
        }
        _logger.EntrySetAside(_kind, id, place);
    }

    private static string Sum(ReadOnlySpan<byte> content) => Convert.ToHexStringLower(SHA256.HashData(content));
}
