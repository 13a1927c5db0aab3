using System.Text.Json;

namespace HeatSpread.Boards;

/// <summary>Reads the direct currents of conditions.</summary>
internal sealed class CurrentReader
{
    private static readonly string[] Keys = ["name", "net", "amps", "from", "to"];

    private readonly Board? _board;
    private readonly NameTable _names;
    private readonly NameTable _nets;

    /// <param name="board">Whose nets and terminals they name; null where that board has faults of its own: names are then not judged.</param>
    /// <param name="at">Of the conditions.</param>
    /// <param name="faults">Takes what is wrong.</param>
    public CurrentReader(Board? board, JsonPointer at, FaultCollector faults)
    {
        _board = board;
        _names = new NameTable("current", "`currents`", faults);
        _nets = new NameTable("net", "the layout's `nets`", faults);
        if (board is null) _nets.MarkIncomplete();
        for (int i = 0; i < board?.Nets.Count; i++) _nets.Add(board.Nets[i].Name, i, at);
    }

    public DirectCurrent Read(JsonElement json, JsonPointer at, ReadingState state)
    {
        var members = new JsonMembers(json, at, state, Keys);
        string? name = members.Text("name");
        if (name is not null) _names.Add(name, 0, at["name"]);
        string netName = members.RequiredText("net");
        int net = netName.Length == 0 ? -1 : _nets.Resolve(netName, at["net"]);
        double amperes = members.RequiredNumber("amps");
        ValueRules.RequireNotNegative(amperes, at["amps"], state.Faults);
        var from = Terminals(members, "from", at, net, state);
        var to = Terminals(members, "to", at, net, state);
        RequireOnce(from, to, at, state);
        return new DirectCurrent(name ?? netName, net, amperes, [.. from.Where(t => t.Part >= 0)], [.. to.Where(t => t.Part >= 0)]);
    }

    private IReadOnlyList<PartTerminal> Terminals(JsonMembers members, string key, JsonPointer at, int net, ReadingState state)
    {
        var terminals = members.RequiredList(key, state.Limits.CurrentTerminals, nameof(state.Limits.CurrentTerminals), (json, here, _) => Terminal(JsonMembers.ReadText(json, here, state), here, net, state));
        if (members.Has(key) && members.Value(key).ValueKind == JsonValueKind.Array && terminals.Count == 0)
            state.Faults.Add(at[key], $"`{key}` must name at least one terminal; it is empty.");
        return terminals;
    }

    /// <summary>The terminal that <c>PART:TERMINAL</c> names; parts of -1, with a fault, where it is unknown or of another net.</summary>
    private PartTerminal Terminal(string text, JsonPointer at, int net, ReadingState state)
    {
        var none = new PartTerminal(-1, -1);
        if (_board is null || text.Length == 0) return none;
        int part = PartOf(text);
        if (part < 0)
        {
            state.Faults.Add(at, $"Must name a terminal as `PART:TERMINAL`, of a part of the layout; found {Phrase.Quoted(text)}.{Phrase.Suggestion(text, AllTerminals())}");
            return none;
        }
        var terminals = _board.Parts[part].Terminals;
        string id = _board.Parts[part].Id, wanted = text[(id.Length + 1)..];
        int terminal = Enumerable.Range(0, terminals.Count).FirstOrDefault(i => terminals[i].Name == wanted, -1);
        if (terminal < 0)
        {
            string given = terminals.Count == 0 ? " It has none." : $" It has {Phrase.List(terminals.Select(t => t.Name))}.";
            state.Faults.Add(at, $"Must name a terminal of {Phrase.Quoted(id)}; there is no {Phrase.Quoted(wanted)}.{given}");
            return none;
        }
        if (net >= 0 && terminals[terminal].Net != net)
        {
            string its = terminals[terminal].Net < 0 ? "no net" : $"net {Phrase.Quoted(_board.Nets[terminals[terminal].Net].Name)}";
            state.Faults.Add(at, $"Must be a terminal of net {Phrase.Quoted(_board.Nets[net].Name)}; {Phrase.Quoted(text)} is on {its}.");
            return none;
        }
        return new PartTerminal(part, terminal);
    }

    /// <summary>The part with the longest id that the text begins with, followed by a colon; -1 for none (ids may hold colons).</summary>
    private int PartOf(string text) => Enumerable.Range(0, _board!.Parts.Count)
        .Where(i => text.StartsWith(_board.Parts[i].Id + ":", StringComparison.Ordinal))
        .OrderByDescending(i => _board.Parts[i].Id.Length).FirstOrDefault(-1);

    private IEnumerable<string> AllTerminals() => _board!.Parts.SelectMany(part => part.Terminals.Select(terminal => $"{part.Id}:{terminal.Name}"));

    private void RequireOnce(IReadOnlyList<PartTerminal> from, IReadOnlyList<PartTerminal> to, JsonPointer at, ReadingState state)
    {
        var seen = new Dictionary<PartTerminal, JsonPointer>();
        foreach (var (terminal, here) in from.Index().Select(t => (t.Item, at["from"][t.Index])).Concat(to.Index().Select(t => (t.Item, at["to"][t.Index]))))
        {
            if (terminal.Part < 0 || seen.TryAdd(terminal, here)) continue;
            var part = _board!.Parts[terminal.Part];
            state.Faults.Add(here, $"A terminal may stand once in a current; {Phrase.Quoted($"{part.Id}:{part.Terminals[terminal.Terminal].Name}")} already stands at {seen[terminal]}.");
        }
    }
}
