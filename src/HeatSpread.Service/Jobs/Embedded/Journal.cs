using System.Collections.Concurrent;
using System.Globalization;
using HeatSpread.Service.Solutions;
using HeatSpread.Service.Storage;
using HeatSpread.Service.Tenants;

namespace HeatSpread.Service.Jobs.Embedded;

/// <param name="Created">When it was accepted.</param>
/// <param name="Kind">Of the work; null: a solution, from before there were others.</param>
internal sealed record AcceptedLabels(DateTimeOffset Created, string? Kind);

/// <param name="Progress">How it ended, and why.</param>
/// <param name="Ended">When.</param>
/// <param name="Kind">Of the work; null: a solution, from before this was written down.</param>
internal sealed record EndedLabels(SolutionProgress Progress, DateTimeOffset Ended, string? Kind);

/// <summary>The journals of all tenants, opened as they are asked for.</summary>
internal sealed class Journals(DataFolder data, TimeProvider clock, ILogger<Journal> logger)
{
    private readonly ConcurrentDictionary<string, Lazy<Journal>> _open = new(StringComparer.Ordinal);

    public Journal Of(Workspace workspace) => _open.GetOrAdd(workspace.Tenant, tenant => new(() => new Journal(TenantFolder.Of(tenant, data), clock, logger))).Value;
}

/// <summary>
/// The work that a client of one tenant was answered 202 to, on the disk before that answer goes out. A piece leaves when its result is stored, when it has failed (then how is
/// kept) or when it was cancelled; what is found here at a start is done then.
/// </summary>
internal sealed class Journal
{
    private const string RequestFile = "request.json";
    private const int RememberedEnds = 1000;

    private readonly EntryFolder<AcceptedLabels> _accepted;
    private readonly EntryFolder<EndedLabels> _ended;
    private readonly string _attempts;
    private readonly TimeProvider _clock;

    public Journal(TenantFolder folder, TimeProvider clock, ILogger logger)
    {
        _clock = clock;
        _accepted = new(folder.Root, "accepted", ServiceJson.Written.AcceptedLabels, logger);
        _ended = new(folder.Root, "ended", ServiceJson.Written.EndedLabels, logger);
        _attempts = Path.Combine(folder.Root, "attempts");
        Directory.CreateDirectory(_attempts);
    }

    /// <summary>In the order in which they were accepted.</summary>
    public IReadOnlyList<string> Ids => [.. _accepted.Entries.OrderBy(e => e.Value.Created).ThenBy(e => e.Key, StringComparer.Ordinal).Select(e => e.Key)];

    public bool Contains(string kind, string id) => _accepted.Labels(id) is { } labels && KindOf(labels.Kind) == kind;

    public void Add(Work work)
    {
        _ended.Remove(work.Id);
        _accepted.Add(work.Id, new(_clock.GetUtcNow(), work.Kind), [new(RequestFile, work.Document())]);
    }

    /// <summary>Kind and document of accepted work; null where it is not here.</summary>
    public (string Kind, byte[] Document)? Read(string id) =>
        _accepted.Labels(id) is { } labels && _accepted.Read(id, RequestFile) is { } document ? (KindOf(labels.Kind), document) : null;

    /// <summary>The promise is kept or void.</summary>
    public void Remove(string id)
    {
        _accepted.Remove(id);
        File.Delete(AttemptsFile(id));
    }

    /// <summary>It came to nothing; how is remembered.</summary>
    public void End(string kind, SolutionProgress end)
    {
        _ended.Remove(end.Id);
        _ended.Add(end.Id, new(end, _clock.GetUtcNow(), kind), []);
        foreach (var old in _ended.Entries.OrderByDescending(e => e.Value.Ended).Skip(RememberedEnds)) _ended.Remove(old.Key);
        Remove(end.Id);
    }

    /// <summary>How work ended that came to nothing; null where none is remembered.</summary>
    public SolutionProgress? Ended(string kind, string id) => _ended.Labels(id) is { } labels && KindOf(labels.Kind) == kind ? labels.Progress : null;

    /// <returns>False where none was remembered.</returns>
    public bool Forget(string kind, string id) => Ended(kind, id) is not null && _ended.Remove(id);

    /// <summary>Times that it has been begun and this process ended before the end.</summary>
    public int Attempts(string id) => File.Exists(AttemptsFile(id)) && int.TryParse(File.ReadAllText(AttemptsFile(id)), NumberStyles.None, CultureInfo.InvariantCulture, out int count) ? count : 0;

    /// <summary>It begins.</summary>
    public void Begin(string id) => File.WriteAllText(AttemptsFile(id), (Attempts(id) + 1).ToString(CultureInfo.InvariantCulture));

    private static string KindOf(string? written) => written ?? SolutionWork.KindName;

    private string AttemptsFile(string id) => Path.Combine(_attempts, id);
}
