using System.Text.Json;

namespace HeatSpread.Boards;

/// <summary>What one edit adds to a layout, in layout units.</summary>
/// <param name="Copper">Painted after all copper there is, in order.</param>
/// <param name="Vias">Added to those there are.</param>
public sealed record LayoutEdit(IReadOnlyList<CopperDocument> Copper, IReadOnlyList<ViaDocument> Vias);

/// <summary>Reads edits as they are posted and makes them in a layout.</summary>
public static class LayoutEdits
{
    private static readonly string[] RequestKeys = ["edits", "name", "revision"];

    // what is told of a suggested edit may come back with it; it is not looked at
    private static readonly string[] EditKeys =
        ["copper", "vias", "kind", "part", "layer", "net", "gainKelvin", "checked", "copperMm2", "kelvinPerMm2", "reroute", "text"];

    /// <summary>The layout with all edits made, checked as a posted one is.</summary>
    /// <param name="layout">Sound.</param>
    /// <param name="json">An object with <c>edits</c>, and <c>name</c> and <c>revision</c> of the new layout where they are to differ.</param>
    /// <param name="limits">Null: the defaults.</param>
    /// <returns>Faults point into <paramref name="json"/>.</returns>
    public static LayoutReading Apply(LayoutDocument layout, JsonElement json, LayoutLimits? limits = null)
    {
        ArgumentNullException.ThrowIfNull(layout);
        limits ??= LayoutLimits.Default;
        var state = new ReadingState(limits);
        var members = new JsonMembers(json, JsonPointer.Root(""), state, RequestKeys);
        var edits = members.RequiredList("edits", limits.CopperFeatures, nameof(limits.CopperFeatures), ReadEdit);
        var edited = layout with
        {
            Name = members.Text("name") ?? layout.Name,
            Revision = members.Text("revision") ?? layout.Revision,
            Copper = [.. layout.Copper, .. edits.SelectMany(edit => edit.Copper)],
            Vias = [.. layout.Vias, .. edits.SelectMany(edit => edit.Vias)],
        };
        if (state.Faults.Any) return new(null, null, state.Faults.Faults());
        var board = BoardBuilder.Build(edited, pointer => InPosted(pointer, layout, edits), limits);
        return board.Value is null ? new(null, null, board.Faults) : new(edited, board.Value, []);
    }

    private static LayoutEdit ReadEdit(JsonElement json, JsonPointer at, ReadingState state)
    {
        var members = new JsonMembers(json, at, state, EditKeys);
        if (members.IsObject && !members.Has("copper") && !members.Has("vias")) state.Faults.Add(at, "At least one of `copper`, `vias` must be given; found neither.");
        return new(
            members.List("copper", state.Limits.CopperFeatures, nameof(state.Limits.CopperFeatures), LayoutSections.ReadCopper),
            members.List("vias", state.Limits.Holes, nameof(state.Limits.Holes), LayoutSections.ReadVia));
    }

    /// <summary>From a pointer into the edited layout to one into the posted edits.</summary>
    private static string InPosted(string pointer, LayoutDocument layout, IReadOnlyList<LayoutEdit> edits)
    {
        string[] steps = pointer.Split('/');
        if (steps.Length < 3 || steps[1] is not ("copper" or "vias") || !int.TryParse(steps[2], out int index)) return pointer;
        index -= steps[1] == "copper" ? layout.Copper.Count : layout.Vias.Count;
        if (index < 0) return pointer;
        for (int edit = 0; edit < edits.Count; edit++)
        {
            int count = steps[1] == "copper" ? edits[edit].Copper.Count : edits[edit].Vias.Count;
            if (index < count) return string.Join('/', (string[])["", "edits", $"{edit}", steps[1], $"{index}", .. steps[3..]]);
            index -= count;
        }
        return pointer;
    }
}
