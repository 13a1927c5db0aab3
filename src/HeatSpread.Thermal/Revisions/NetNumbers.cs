using HeatSpread.Boards;

namespace HeatSpread.Thermal.Revisions;

/// <summary>One numbering of the nets of two boards. Nets are the same where their names are.</summary>
internal static class NetNumbers
{
    /// <summary>A board whose nets are numbered as those of another, its own further ones after them.</summary>
    public static Board AsIn(Board first, Board second)
    {
        var number = new Dictionary<string, int>(StringComparer.Ordinal);
        foreach (var net in first.Nets.Concat(second.Nets)) number.TryAdd(net.Name, number.Count);
        int Of(int net) => net < 0 ? net : number[second.Nets[net].Name];
        var named = first.Nets.Concat(second.Nets).DistinctBy(net => net.Name);
        return second with
        {
            Nets = [.. named.Select(net => new Net(net.Name, [], false))],
            Copper = [.. second.Copper.Select(feature => feature with { Net = Of(feature.Net) })],
            Vias = [.. second.Vias.Select(group => group with { Net = Of(group.Net) })],
            Parts = [.. second.Parts.Select(part => part with { Terminals = [.. part.Terminals.Select(terminal => terminal with { Net = Of(terminal.Net) })] })],
        };
    }
}
