using System.Globalization;
using HeatSpread.Boards;
using HeatSpread.Thermal.Revisions;

namespace HeatSpread.Insight.Comparison;

/// <summary>Entries of the ledger as sentences. Lengths in mm.</summary>
internal static class LedgerWords
{
    /// <param name="group">What changed.</param>
    /// <param name="pieces">Of copper, layer by layer.</param>
    /// <param name="part">Id of the part.</param>
    /// <param name="kelvin">That it is hotter.</param>
    /// <param name="partError">Grid error of that part's temperature, K: nothing is claimed below it.</param>
    public static string Of(ChangeGroup group, IReadOnlyList<LedgerPiece> pieces, string part, double kelvin, double partError)
    {
        var first = group.Changes[0];
        int count = group.Changes.Sum(change => change.At.Count);
        string effect = Effect(part, kelvin, partError, isMany: first.Kind is ChangeKind.ViasAdded or ChangeKind.ViasRemoved && count > 1), which = $", which {Effect(part, kelvin, partError, isMany: false)}";
        string copper = first.Net is null ? "Copper of no net" : $"{first.Net} copper";
        return first.Kind switch
        {
            ChangeKind.CopperRemoved => $"{copper} taken from {Layers(pieces)} ({Extent(pieces)}) {effect}",
            ChangeKind.CopperAdded => $"{copper} put on {Layers(pieces)} ({Extent(pieces)}) {effect}",
            ChangeKind.ViasRemoved => $"{Vias(group, count, "taken away")} {effect}",
            ChangeKind.ViasAdded => $"{Vias(group, count, "put in")} {effect}",
            ChangeKind.WattsChanged => Watts(first) + which,
            ChangeKind.StackChanged => Stack(first) + which,
            ChangeKind.SurfacesChanged => Surface(first) + which,
            ChangeKind.ConductivityChanged => "The same materials conduct differently at the new temperatures" + which,
            ChangeKind.PartChanged => $"{first.Name} itself changed (its pads, its place or its network)" + which,
            _ => "The outline of the board changed" + which,
        };
    }

    public static string Rest(string part, int count, double kelvin, double partError) =>
        count == 1 ? $"One smaller change {Effect(part, kelvin, partError, isMany: false)}" : $"{count} smaller changes together {Effect(part, kelvin, partError, isMany: true)}";

    private static string Effect(string part, double kelvin, double partError, bool isMany)
    {
        string s = isMany ? "" : "s";
        if (Math.Abs(kelvin) < partError) return $"alter{s} {part} by less than the grid can tell ({Words.Bound(partError)}).";
        return $"make{s} {part} {Words.Kelvin(Math.Abs(kelvin), partError)} {(kelvin > 0 ? "hotter" : "cooler")}.";
    }

    private static string Layers(IReadOnlyList<LedgerPiece> pieces)
    {
        string[] names = [.. pieces.Select(piece => piece.Layer).Order(StringComparer.Ordinal)];
        return names.Length == 1 ? names[0] : $"{string.Join(", ", names[..^1])} and {names[^1]}";
    }

    private static string Extent(IReadOnlyList<LedgerPiece> pieces)
    {
        var box = pieces.Aggregate(Box.Empty, (all, piece) => all.Include(piece.Area.Bounds));
        string area = Words.SquareMillimetres(pieces.Sum(piece => piece.SquareMeters));
        return Text($"{area} between ({box.MinX * 1e3:0.#}, {box.MinY * 1e3:0.#}) and ({box.MaxX * 1e3:0.#}, {box.MaxY * 1e3:0.#}) mm");
    }

    private static string Vias(ChangeGroup group, int count, string what)
    {
        Point[] at = [.. group.Changes.SelectMany(change => change.At)];
        string net = group.Changes[0].Net is { } name ? $"of {name} " : "", place = Words.At(new(at.Average(p => p.X), at.Average(p => p.Y)));
        return count == 1 ? $"One via {net}{what} at {place}" : $"{count} vias {net}{what} around {place}";
    }

    private static string Watts(RevisionChange change)
    {
        var (before, after) = change.Value!.Value;
        return change.Name is null
            ? Text($"The currents in the copper make {after:0.###} W instead of {before:0.###} W")
            : Text($"{change.Name} makes {after:0.###} W instead of {before:0.###} W");
    }

    private static string Stack(RevisionChange change)
    {
        if (change.Name is null) return "The stack has other rows";
        return change.Value is var (before, after) ? Text($"{change.Name} is {after * 1e6:0.#} µm thick instead of {before * 1e6:0.#} µm") : $"Row {change.Name} of the stack changed";
    }

    private static string Surface(RevisionChange change) => (change.Name, change.Value) switch
    {
        ("ambient", var (before, after)) => Text($"The ambient is at {after:0.#} °C instead of {before:0.#} °C"),
        ("top" or "bottom" or "edges", var (before, after)) => Text($"The film of the {change.Name} is {after:0.##} W/(m²·K) instead of {before:0.##}"),
        ("top" or "bottom" or "edges", null) => $"The cooling of the {change.Name} changed",
        ("contacts", _) => "The contacts to heat sinks changed",
        _ => "The surroundings changed",
    };

    private static string Text(FormattableString text) => text.ToString(CultureInfo.InvariantCulture);
}
