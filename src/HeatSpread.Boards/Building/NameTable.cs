namespace HeatSpread.Boards;

/// <summary>The names that the items of one list go by, and what each stands for.</summary>
/// <param name="what">What they name, for sentences: <c>net</c>, <c>copper layer</c>…</param>
/// <param name="listedIn">Where they are listed, for sentences.</param>
/// <param name="faults">Takes unknown names and names used twice.</param>
internal sealed class NameTable(string what, string listedIn, FaultCollector faults)
{
    /// <summary>Places told for one unknown name; a misspelt layer may be named by thousands of features.</summary>
    private const int MostPlaces = 50;

    private readonly Dictionary<string, (int Index, JsonPointer At)> _entries = new(StringComparer.Ordinal);
    private readonly Dictionary<string, int> _unknown = new(StringComparer.Ordinal);

    public IEnumerable<string> Names => _entries.Keys;

    /// <param name="name">Empty where it could not be read.</param>
    /// <param name="index">What it stands for; -1 where nothing does because the item has a fault.</param>
    /// <param name="at">Where the name stands.</param>
    public void Add(string name, int index, JsonPointer at)
    {
        if (name.Length == 0)
            faults.Add(at, $"Each {what} must have a name that is not empty.");
        else if (!_entries.TryAdd(name, (index, at)))
            faults.Add(at, $"Each {what} must have a name of its own; {Phrase.Quoted(name)} already stands at {_entries[name].At}.");
    }

    /// <summary>Whether the list itself could not be read, so that no name is known to be missing from it.</summary>
    public bool IsIncomplete { get; private set; }

    public void MarkIncomplete() => IsIncomplete = true;

    /// <summary>Index of a name; -1, with a fault, where it is unknown.</summary>
    public int Resolve(string name, JsonPointer at)
    {
        if (_entries.TryGetValue(name, out var entry)) return entry.Index;
        if (!IsIncomplete) FaultUnknown(name, at);
        return -1;
    }

    private void FaultUnknown(string name, JsonPointer at)
    {
        int places = _unknown[name] = _unknown.GetValueOrDefault(name) + 1;
        if (places > MostPlaces) return;
        string offer = faults.IsFull ? "" : Offer(name), others = places == MostPlaces ? " Further places that name it are not listed." : "";
        faults.Add(at, $"Must name a {what} of {listedIn}; there is no {Phrase.Quoted(name)}.{offer}{others}");
    }

    private string Offer(string name)
    {
        string suggestion = Phrase.Suggestion(name, Names);
        if (suggestion.Length > 0) return suggestion;
        return _entries.Count == 0 ? " None is given." : $" Given are {Phrase.List(Names)}.";
    }
}
