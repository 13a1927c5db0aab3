using System.Diagnostics;

namespace HeatSpread.Service.Studies;

/// <summary>Gathers the results of a study that runs and keeps them twice a second, so that they can be read meanwhile and are there when the study is taken up again.</summary>
internal sealed class StudyJournal : IDisposable
{
    private static readonly TimeSpan BetweenParts = TimeSpan.FromSeconds(0.5);

    private readonly StudyStore _store;
    private readonly string _id;
    private readonly List<StudyPart> _new = [];
    private long _last = Stopwatch.GetTimestamp();

    public StudyJournal(StudyStore store, string id)
    {
        (_store, _id, All) = (store, id, store.Known(id));
        Count = All.Count;
    }

    /// <summary>What is kept: what was known when it began, and since.</summary>
    public StudyPart All { get; private set; }

    /// <summary>Results in all, kept or not yet.</summary>
    public int Count { get; private set; }

    public void Add(StudyPart part)
    {
        _new.Add(part);
        Count += part.Count;
        if (Stopwatch.GetElapsedTime(_last) >= BetweenParts) Keep();
    }

    /// <summary>Keeps what is not kept yet.</summary>
    public void Keep()
    {
        if (_new.Count == 0) return;
        var part = StudyPart.Join(_new);
        _store.Add(_id, part);
        All = StudyPart.Join([All, part]);
        _new.Clear();
        _last = Stopwatch.GetTimestamp();
    }

    /// <summary>Also where the study was ended in its middle.</summary>
    public void Dispose() => Keep();
}
