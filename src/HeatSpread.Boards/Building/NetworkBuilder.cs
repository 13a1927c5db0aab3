namespace HeatSpread.Boards;

/// <summary>A part's inner network of thermal resistances.</summary>
internal static class NetworkBuilder
{
    private const string TerminalPrefix = "terminal:";

    public static PartNetwork Build(NetworkDocument network, bool hasBody, JsonPointer at, FaultCollector faults, NameTable terminals)
    {
        var nodes = NameNodes(network.Nodes, at["nodes"], faults);
        var links = network.Links.Select((link, i) => Link(link, at["links"][i], nodes, terminals, hasBody, faults)).ToList();
        if (!faults.IsUnreadable(at["links"]) && links.TrueForAll(IsResolved)) RequireWaysOut(network.Nodes, links, at["nodes"], faults);
        return new PartNetwork(network.Nodes, links, Shares(network, at["heatAt"], nodes, faults));
    }

    private static NameTable NameNodes(IReadOnlyList<string> nodes, JsonPointer at, FaultCollector faults)
    {
        var names = new NameTable("node", "this network's `nodes`", faults);
        if (faults.IsUnreadable(at)) names.MarkIncomplete();
        if (nodes.Count == 0) faults.Add(at, "`nodes` must name at least one node; it is empty.");
        for (int i = 0; i < nodes.Count; i++)
        {
            if (nodes[i] is "board" or "ambient" || nodes[i].StartsWith(TerminalPrefix, StringComparison.Ordinal))
                faults.Add(at[i], $"A node must not be called `board`, `ambient` or `terminal:…`, which links use for other things; found {Phrase.Quoted(nodes[i])}.");
            names.Add(nodes[i], i, at[i]);
        }
        return names;
    }

    private static PartLink Link(LinkDocument link, JsonPointer at, NameTable nodes, NameTable terminals, bool hasBody, FaultCollector faults)
    {
        int from = nodes.Resolve(link.From, at["from"]);
        var (target, index) = Target(link.To, at["to"], nodes, terminals, faults);
        if (target == PartLinkTarget.Board && !hasBody)
            faults.Add(at["to"], "A link to `board` is spread over the part's body, but the part has no `body`.");
        if (target == PartLinkTarget.Node && index >= 0 && index == from)
            faults.Add(at, $"A link must join two different nodes; found {Phrase.Quoted(link.From)} twice.");
        return new PartLink(from, target, index, link.KelvinPerWatt);
    }

    private static (PartLinkTarget Target, int Index) Target(string to, JsonPointer at, NameTable nodes, NameTable terminals, FaultCollector faults) => to switch
    {
        "board" => (PartLinkTarget.Board, -1),
        "ambient" => (PartLinkTarget.Ambient, -1),
        _ when to.StartsWith(TerminalPrefix, StringComparison.Ordinal) => (PartLinkTarget.Terminal, terminals.Resolve(to[TerminalPrefix.Length..], at)),
        _ when to.Contains('.', StringComparison.Ordinal) && !nodes.Names.Contains(to) => (PartLinkTarget.Node, RefuseOtherPart(to, at, faults)),
        _ => (PartLinkTarget.Node, nodes.Resolve(to, at)),
    };

    /// <summary>Parts meet in the board alone: whose watts and whose limit a shared node would be is nobody's to say.</summary>
    private static int RefuseOtherPart(string to, JsonPointer at, FaultCollector faults)
    {
        faults.Add(at, $"A link leads to a node of its own part, `terminal:NAME`, `board` or `ambient`; {Phrase.Quoted(to)} is none of these, and a node of another part (`PART.node`) cannot be named.");
        return -1;
    }

    private static bool IsResolved(PartLink link) =>
        link.FromNode >= 0 && (link.TargetIndex >= 0 || link.Target is PartLinkTarget.Board or PartLinkTarget.Ambient);

    /// <summary>Faults each node from which no chain of links leads to the board or to ambient: its temperature would have no bound.</summary>
    private static void RequireWaysOut(IReadOnlyList<string> nodes, List<PartLink> links, JsonPointer at, FaultCollector faults)
    {
        var reached = NodeReach.Of(nodes.Count, links, link => link.Target != PartLinkTarget.Node);
        for (int i = 0; i < nodes.Count; i++)
            if (!reached[i] && nodes.Take(i).All(node => node != nodes[i])) // one named twice is told as such
                faults.Add(at[i], $"Every node must have a way out, over links, to a terminal, `board` or `ambient`; {Phrase.Quoted(nodes[i])} has none.");
    }

    /// <summary>One share a node, adding up to exactly 1.</summary>
    private static double[] Shares(NetworkDocument network, JsonPointer at, NameTable nodes, FaultCollector faults)
    {
        var shares = new double[network.Nodes.Count];
        bool single = network.HeatAt.Count == 1 && network.HeatAt.Values.First() == 1;
        foreach (var (name, share) in network.HeatAt)
        {
            int node = nodes.Resolve(name, single ? at : at[name]);
            if (node >= 0) shares[node] += share;
        }
        double sum = network.HeatAt.Values.Sum();
        if (Math.Abs(sum - 1) > 1e-6) faults.Add(at, $"The shares must add up to 1; found {Phrase.Number(sum)}.");
        return [.. shares.Select(share => share / sum)];
    }
}
