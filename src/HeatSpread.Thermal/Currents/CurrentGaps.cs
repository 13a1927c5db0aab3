using System.Globalization;
using HeatSpread.Boards;
using HeatSpread.Thermal.Raster;

namespace HeatSpread.Thermal.Currents;

/// <summary>The faults of currents whose terminals the copper does not join, each gap once.</summary>
internal sealed class CurrentGaps(Board board, NetCopper copper, Conductors conductors, CopperPaths paths)
{
    private readonly NearestCopper _nearest = new(copper, paths);

    /// <summary>Whether some pad of a current has no way to its other end.</summary>
    public static bool Any(Conductors conductors, CopperPaths paths, DirectCurrent current)
    {
        HashSet<int> Pieces(IReadOnlyList<PartTerminal> terminals) => [.. terminals.Select(terminal => PieceOf(conductors, paths, terminal))];
        var from = Pieces(current.From);
        return from.Contains(-1) || !from.SetEquals(Pieces(current.To));
    }

    /// <param name="index">Of the current among the conditions'.</param>
    /// <param name="current">The current.</param>
    public IEnumerable<Fault> Of(int index, DirectCurrent current)
    {
        var (from, to) = (Pieces(current.From), Pieces(current.To));
        foreach (var fault in NoCopper(index, "from", current.From)) yield return fault;
        var told = new HashSet<int>();
        foreach (int piece in from.Keys.Where(piece => !to.ContainsKey(piece)))
        {
            if (to.Count == 0 || _nearest.Between(piece, [.. to.Keys]) is not { } approach) continue;
            told.Add(approach.OtherPiece);
            yield return Gap($"/currents/{index}/from/{from[piece][0]}", current.From, from[piece], current.To, to[approach.OtherPiece], approach);
        }
        foreach (var fault in NoCopper(index, "to", current.To)) yield return fault;
        // The same gap seen from its other side is not told again.
        foreach (int piece in to.Keys.Where(piece => !from.ContainsKey(piece) && !told.Contains(piece)))
        {
            if (from.Count == 0 || _nearest.Between(piece, [.. from.Keys]) is not { } approach) continue;
            yield return Gap($"/currents/{index}/to/{to[piece][0]}", current.To, to[piece], current.From, from[approach.OtherPiece], approach);
        }
    }

    /// <summary>Places in a list of terminals, by the piece of copper under them.</summary>
    private Dictionary<int, List<int>> Pieces(IReadOnlyList<PartTerminal> terminals) => terminals.Index()
        .GroupBy(t => PieceOf(conductors, paths, t.Item), t => t.Index).Where(group => group.Key >= 0).ToDictionary(group => group.Key, group => group.ToList());

    private static int PieceOf(Conductors conductors, CopperPaths paths, PartTerminal terminal) => conductors.Pads[terminal] is { Length: > 0 } pad ? paths.PieceOf(pad[0]) : -1;

    private IEnumerable<Fault> NoCopper(int index, string end, IReadOnlyList<PartTerminal> terminals)
    {
        for (int i = 0; i < terminals.Count; i++)
        {
            if (conductors.Pads[terminals[i]].Length > 0) continue;
            var part = board.Parts[terminals[i].Part];
            var terminal = part.Terminals[terminals[i].Terminal];
            string layers = string.Join(" and ", part.SidesOf(terminal).Select(side => board.Layers[board.OuterLayer(side)].Name).Distinct());
            yield return new Fault($"/currents/{index}/{end}/{i}", Say($"No copper of {NetOf(terminals[i])} lies under the pad of {Name(terminals[i])} ({layers}, around {At(Middle(terminal.Pad.Bounds))}): no current can {(end == "from" ? "enter" : "leave")} the copper there."));
        }
    }

    private Fault Gap(string pointer, IReadOnlyList<PartTerminal> own, List<int> ownPads, IReadOnlyList<PartTerminal> others, List<int> otherPads, CopperApproach approach)
    {
        string from = Names(own, ownPads), to = Names(others, otherPads);
        string upper = board.Layers[approach.FromLayer].Name, lower = board.Layers[approach.ToLayer].Name;
        string net = NetOf(own[ownPads[0]]);
        string where = IsPadAlone(own, ownPads) ? Say($"no copper of {net} on {upper} meets {(ownPads.Count > 1 ? "their pads" : "its pad")}; the copper of {to} is {approach.Distance * 1e3:0.###} mm away, on {lower} at {At(approach.To)}.")
            : approach.Distance == 0 && approach.FromLayer != approach.ToLayer
            ? Say($"their copper lies one over the other on {upper} and {lower} at {At(approach.From)}, and no plated hole of the net joins the two.")
            : Say($"between the edge of its copper on {upper} at {At(approach.From)} and that of {to} on {lower} at {At(approach.To)} there is a gap of {approach.Distance * 1e3:0.###} mm.");
        return new Fault(pointer, Say($"{from} {(ownPads.Count > 1 ? "are" : "is")} not joined to {to}: {where}"));
    }

    /// <summary>Whether the piece of copper under these pads is nothing but the pads.</summary>
    private bool IsPadAlone(IReadOnlyList<PartTerminal> terminals, List<int> pads)
    {
        int piece = PieceOf(conductors, paths, terminals[pads[0]]);
        var covered = pads.SelectMany(pad => RegionCover.CellsOf(board.Parts[terminals[pad].Part].Terminals[terminals[pad].Terminal].Pad, copper.Grid)).Select(cell => cell.Cell).ToHashSet();
        return Enumerable.Range(0, copper.CellCount).All(cell => paths.PieceOf(cell) != piece || covered.Contains(cell % copper.PlaneCount));
    }

    private string NetOf(PartTerminal terminal) => board.Parts[terminal.Part].Terminals[terminal.Terminal].Net is >= 0 and int net ? board.Nets[net].Name : "its net";

    private string Names(IReadOnlyList<PartTerminal> terminals, List<int> pads)
    {
        const int most = 3;
        return string.Join(", ", pads.Take(most).Select(pad => Name(terminals[pad]))) + (pads.Count > most ? ", …" : "");
    }

    private string Name(PartTerminal terminal) => $"{board.Parts[terminal.Part].Id}:{board.Parts[terminal.Part].Terminals[terminal.Terminal].Name}";

    private static Point Middle(Box box) => new((box.MinX + box.MaxX) / 2, (box.MinY + box.MaxY) / 2);

    private static string At(Point at) => Say($"({at.X * 1e3:0.##}, {at.Y * 1e3:0.##}) mm");

    private static string Say(FormattableString text) => text.ToString(CultureInfo.InvariantCulture);
}
