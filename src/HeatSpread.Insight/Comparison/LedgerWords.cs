using System.Globalization;
using HeatSpread.Boards;
using HeatSpread.Thermal.Revisions;

namespace HeatSpread.Insight.Comparison;

/// <summary>Entries of the ledger as sentences. Lengths in mm.</summary>
internal static class LedgerWords
{
    public static string Of(ChangeGroup group, IReadOnlyList<LedgerPiece> pieces, string part, double kelvin, double errorKelvin)
    {
        var first = group.Changes[0];
        bool isMany = first.Kind is ChangeKind.ViasAdded or ChangeKind.ViasRemoved && group.Changes.Sum(change => change.At.Count) > 1;
        string effect = Effect(part, kelvin, errorKelvin, isMany);
        string copper = first.Net is null ? "Copper without a net" : $"Copper of {first.Net}";
        return first.Kind switch
        {
            ChangeKind.CopperRemoved => $"{copper} taken from {Layers(pieces)} {Extent(pieces)} {effect}",
            ChangeKind.CopperAdded => $"{copper} put on {Layers(pieces)} {Extent(pieces)} {effect}",
            ChangeKind.ViasRemoved => $"{Vias(group)} taken away {effect}",
            ChangeKind.ViasAdded => $"{Vias(group)} put in {effect}",
            ChangeKind.WattsChanged => Text($"{(first.Name is null ? "The currents in the copper make" : first.Name + " makes")} {first.Value!.Value.After:0.###} W where {(first.Name is null ? "they" : "it")} made {first.Value.Value.Before:0.###} W, which {effect}"),
            ChangeKind.StackChanged => first.Name is null ? $"The stack of rows is another, which {effect}" : $"Row {first.Name} of the stack is another, which {effect}",
            ChangeKind.SurfacesChanged => Surface(first, effect),
            ChangeKind.ConductivityChanged => $"Conductivity with temperature: the same materials conduct otherwise at the other temperatures, which {effect}",
            ChangeKind.PartChanged => $"{first.Name} itself changed (its pads, its place or its network), which {effect}",
            _ => $"The outline of the board is another, which {effect}",
        };
    }

    public static string Rest(string part, int count, double kelvin, double errorKelvin) =>
        count == 1 ? $"One smaller change {Effect(part, kelvin, errorKelvin)}" : $"{count} smaller changes together {Effect(part, kelvin, errorKelvin, isMany: true)}";

    private static string Effect(string part, double kelvin, double errorKelvin, bool isMany = false)
    {
        string makes = isMany ? "make" : "makes";
        double size = Math.Abs(kelvin);
        if (size < errorKelvin) return Text($"{makes} a difference to {part} below what this grid resolves ({errorKelvin:0.0#} K).");
        string amount = errorKelvin >= 1 ? Text($"about {size:0} K") : Text($"{size:0.0#} K");
        return $"{makes} {part} {amount} {(kelvin > 0 ? "hotter" : "cooler")}.";
    }

    private static string Layers(IReadOnlyList<LedgerPiece> pieces)
    {
        string[] names = [.. pieces.Select(piece => piece.Layer).Order(StringComparer.Ordinal)];
        return names.Length == 1 ? names[0] : $"{string.Join(", ", names[..^1])} and {names[^1]}";
    }

    private static string Extent(IReadOnlyList<LedgerPiece> pieces)
    {
        double area = pieces.Sum(piece => piece.SquareMeters) * 1e6;
        var box = pieces.Aggregate(Box.Empty, (all, piece) => all.Include(piece.Area.Bounds));
        return Text($"({area:0.#} mm², between ({box.MinX * 1e3:0.#}, {box.MinY * 1e3:0.#}) and ({box.MaxX * 1e3:0.#}, {box.MaxY * 1e3:0.#}) mm)");
    }

    private static string Vias(ChangeGroup group)
    {
        Point[] at = [.. group.Changes.SelectMany(change => change.At)];
        string net = group.Changes[0].Net is { } name ? $"of {name} " : "";
        return Text($"{at.Length} via{(at.Length == 1 ? "" : "s")} {net}around ({at.Average(p => p.X) * 1e3:0.#}, {at.Average(p => p.Y) * 1e3:0.#}) mm");
    }

    private static string Surface(RevisionChange change, string effect) => change.Name switch
    {
        "ambient" => Text($"The ambient is {change.Value!.Value.After:0.#} °C where it was {change.Value.Value.Before:0.#} °C, which {effect}"),
        "top" => $"The top gives off its heat otherwise, which {effect}",
        "bottom" => $"The bottom gives off its heat otherwise, which {effect}",
        "edges" => $"The edges give off their heat otherwise, which {effect}",
        "contacts" => $"The contacts are others, which {effect}",
        _ => $"The surroundings are others, which {effect}",
    };

    private static string Text(FormattableString text) => text.ToString(CultureInfo.InvariantCulture);
}
