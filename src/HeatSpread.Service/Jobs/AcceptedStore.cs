using System.Globalization;
using System.Text.Json;
using HeatSpread.Service.Solutions;
using HeatSpread.Service.Storage;
using HeatSpread.Service.Tenants;

namespace HeatSpread.Service.Jobs;

/// <param name="Created">When it was accepted.</param>
internal sealed record AcceptedLabels(DateTimeOffset Created);

/// <param name="Progress">How it ended, and why.</param>
/// <param name="Ended">When.</param>
internal sealed record EndedLabels(SolutionProgress Progress, DateTimeOffset Ended);

/// <summary>
/// The requests that a client was answered 202 to, on the disk before that answer goes out. One leaves when its solution is stored, when it has failed (then how is
/// kept) or when it was cancelled; what is found here at a start is solved then.
/// </summary>
internal sealed class AcceptedStore
{
    private const string RequestFile = "request.json";
    private const int RememberedEnds = 1000;

    private readonly EntryStore<AcceptedLabels> _accepted;
    private readonly EntryStore<EndedLabels> _ended;
    private readonly string _attempts;
    private readonly TimeProvider _clock;

    public AcceptedStore(TenantFolder folder, TimeProvider clock, ILogger<AcceptedStore> logger)
    {
        _clock = clock;
        _accepted = new(folder.Root, "accepted", ServiceJson.Written.AcceptedLabels, logger);
        _ended = new(folder.Root, "ended", ServiceJson.Written.EndedLabels, logger);
        _attempts = Path.Combine(folder.Root, "attempts");
        Directory.CreateDirectory(_attempts);
    }

    /// <summary>In the order in which they were accepted.</summary>
    public IReadOnlyList<string> Ids => [.. _accepted.Entries.OrderBy(e => e.Value.Created).ThenBy(e => e.Key, StringComparer.Ordinal).Select(e => e.Key)];

    public bool Contains(string id) => _accepted.Contains(id);

    public void Add(SolutionRequest request)
    {
        using var stream = new MemoryStream();
        using (var writer = new Utf8JsonWriter(stream))
        {
            writer.WriteStartObject();
            WritePart(writer, "layout", request.Layout.Canonical);
            WritePart(writer, "conditions", request.ConditionsJson);
            WritePart(writer, "grid", request.GridJson);
            writer.WriteEndObject();
        }
        _ended.Remove(request.Id);
        _accepted.Add(request.Id, new(_clock.GetUtcNow()), [new(RequestFile, stream.ToArray())]);
    }

    /// <summary>The request as one that can be posted, the layout whole; null where it is not here.</summary>
    public byte[]? Read(string id) => _accepted.Read(id, RequestFile);

    /// <summary>The promise is kept or void.</summary>
    public void Remove(string id)
    {
        _accepted.Remove(id);
        File.Delete(AttemptsFile(id));
    }

    /// <summary>It came to nothing; how is remembered.</summary>
    public void End(SolutionProgress end)
    {
        _ended.Remove(end.Id);
        _ended.Add(end.Id, new(end, _clock.GetUtcNow()), []);
        foreach (var old in _ended.Entries.OrderByDescending(e => e.Value.Ended).Skip(RememberedEnds)) _ended.Remove(old.Key);
        Remove(end.Id);
    }

    /// <summary>How a request ended that came to nothing; null where none is remembered.</summary>
    public SolutionProgress? Ended(string id) => _ended.Labels(id)?.Progress;

    /// <returns>False where none was remembered.</returns>
    public bool Forget(string id) => _ended.Remove(id);

    /// <summary>Times that a solve of it has begun and this process ended before the solve.</summary>
    public int Attempts(string id) => File.Exists(AttemptsFile(id)) && int.TryParse(File.ReadAllText(AttemptsFile(id)), NumberStyles.None, CultureInfo.InvariantCulture, out int count) ? count : 0;

    /// <summary>A solve of it begins.</summary>
    public void Begin(string id) => File.WriteAllText(AttemptsFile(id), (Attempts(id) + 1).ToString(CultureInfo.InvariantCulture));

    private string AttemptsFile(string id) => Path.Combine(_attempts, id);

    private static void WritePart(Utf8JsonWriter writer, string name, byte[] json)
    {
        writer.WritePropertyName(name);
        writer.WriteRawValue(json);
    }
}
