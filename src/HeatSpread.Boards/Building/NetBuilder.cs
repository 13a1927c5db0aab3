namespace HeatSpread.Boards;

/// <summary>The nets and their names.</summary>
internal static class NetBuilder
{
    public static (IReadOnlyList<Net> Nets, NameTable Names) Build(IReadOnlyList<NetDocument> nets, JsonPointer at, FaultCollector faults)
    {
        var names = new NameTable("net", "`nets`", faults);
        if (faults.IsUnreadable(at)) names.MarkIncomplete();
        for (int i = 0; i < nets.Count; i++) names.Add(nets[i].Name, i, at[i]["name"]);
        return ([.. nets.Select((net, i) => new Net(net.Name, KeepApart(net, i, at[i]["keepApartFrom"]), net.FixedArea))], names);

        IReadOnlyList<int> KeepApart(NetDocument net, int self, JsonPointer list)
        {
            var others = new List<int>();
            for (int i = 0; i < net.KeepApartFrom.Count; i++)
            {
                int other = names.Resolve(net.KeepApartFrom[i], list[i]);
                if (other == self) faults.Add(list[i], $"A net cannot be kept apart from itself; found {Phrase.Quoted(net.Name)}.");
                else if (other >= 0 && !others.Contains(other)) others.Add(other);
            }
            return others;
        }
    }
}
