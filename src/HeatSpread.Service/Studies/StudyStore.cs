using System.Text.Json;
using HeatSpread.Service.Solutions;
using HeatSpread.Service.Storage;

namespace HeatSpread.Service.Studies;

/// <summary>Studies that are done; and of those that are not, the frame of the answer and what is known so far, in entries of their own, so that any process can read and go
/// on.</summary>
internal sealed class StudyStore(TenantStorage storage, TimeProvider clock)
{
    private const string AnswerFile = "answer.json";
    private const string PartFile = "part.json";

    private readonly IEntryStore<StudyLabels> _done = storage.Open("studies", ServiceJson.Written.StudyLabels);
    private readonly IEntryStore<StudyLabels> _begun = storage.Open("study-frames", ServiceJson.Written.StudyLabels);
    private readonly IEntryStore<StudyPartLabels> _parts = storage.Open("study-parts", ServiceJson.Written.StudyPartLabels);

    public bool Contains(string id) => _done.Contains(id);

    /// <summary>The answer as it is sent; null where it is not done.</summary>
    public byte[]? Answer(string id) => _done.Read(id, AnswerFile);

    /// <summary>Those that are done or begun, newest first.</summary>
    public IEnumerable<StudyListItem> List() => _done.Entries.Select(e => (e.Key, e.Value, State: SolutionState.Solved))
        .Concat(_begun.Entries.Where(e => !_done.Contains(e.Key)).Select(e => (e.Key, e.Value, State: SolutionState.Cancelled)))
        .OrderByDescending(e => e.Value.Created).ThenBy(e => e.Key, StringComparer.Ordinal)
        .Select(e => new StudyListItem(e.Key, e.Value.Layout, e.Value.Name, e.Value.Revision, e.Value.Kind, e.State, e.State == SolutionState.Solved ? e.Value.Created : null));

    /// <summary>Those that are done, and those that were begun, with what is known of them; by when that was.</summary>
    public IEnumerable<(string Id, DateTimeOffset Created)> Kept => _done.Entries.Concat(_begun.Entries.Where(e => !_done.Contains(e.Key))).Select(e => (e.Key, e.Value.Created));

    /// <summary>Of all that is kept of a study.</summary>
    public long Bytes(string id) => _done.Bytes(id) + _begun.Bytes(id) + PartsOf(id).Sum(_parts.Bytes);

    /// <summary>A study was asked for: what its answer will look like is known from then on.</summary>
    public void Begin(StudyAnswer frame) => _begun.Add(frame.Id, Labels(frame), [new(AnswerFile, JsonSerializer.SerializeToUtf8Bytes(frame, ServiceJson.Written.StudyAnswer))]);

    /// <summary>The answer of a study without results; null where none was asked for, or it is done.</summary>
    public StudyAnswer? Frame(string id) => _begun.Read(id, AnswerFile) is { } json ? JsonSerializer.Deserialize(json, ServiceJson.Written.StudyAnswer) : null;

    /// <summary>Keeps some results of a study that runs.</summary>
    public void Add(string id, StudyPart part) => _parts.Add($"{id}-{Guid.NewGuid():N}", new(id), [new(PartFile, JsonSerializer.SerializeToUtf8Bytes(part, ServiceJson.Written.StudyPart))]);

    /// <summary>What is known so far of a study that is not done.</summary>
    public StudyPart Known(string id) => StudyPart.Join(PartsOf(id).Select(part => _parts.Read(part, PartFile)).OfType<byte[]>().Select(json => JsonSerializer.Deserialize(json, ServiceJson.Written.StudyPart)!));

    /// <summary>Keeps a study that is done.</summary>
    public void Keep(StudyAnswer answer)
    {
        _done.Add(answer.Id, Labels(answer), [new(AnswerFile, JsonSerializer.SerializeToUtf8Bytes(answer, ServiceJson.Written.StudyAnswer))]);
        RemoveUnfinished(answer.Id);
    }

    /// <returns>False where there is neither a study nor a part of one.</returns>
    public bool Remove(string id)
    {
        bool unfinished = RemoveUnfinished(id);
        return _done.Remove(id) || unfinished;
    }

    private bool RemoveUnfinished(string id)
    {
        foreach (string part in PartsOf(id)) _parts.Remove(part);
        return _begun.Remove(id);
    }

    private string[] PartsOf(string id) => [.. _parts.Entries.Where(part => part.Value.Study == id).Select(part => part.Key)];

    private StudyLabels Labels(StudyAnswer answer) => new(answer.Layout, answer.Name, answer.Revision, answer.Kind, clock.GetUtcNow());
}
