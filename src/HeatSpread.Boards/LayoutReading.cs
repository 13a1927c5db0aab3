using System.Text.Json;

namespace HeatSpread.Boards;

/// <summary>A posted layout: the document and the board it makes, or every fault of form and of meaning at once.</summary>
/// <param name="Document">Null exactly when there are faults.</param>
/// <param name="Board">Null exactly when there are faults.</param>
/// <param name="Faults">In document order.</param>
public sealed record LayoutReading(LayoutDocument? Document, Board? Board, IReadOnlyList<Fault> Faults)
{
    public bool IsSound => Faults.Count == 0;

    /// <summary>Reads a layout that was posted by itself.</summary>
    /// <param name="json">UTF-8.</param>
    /// <param name="limits">Null: the defaults.</param>
    public static LayoutReading ReadBoard(ReadOnlyMemory<byte> json, LayoutLimits? limits = null)
    {
        var parsed = PostedJson.Parse(json, limits);
        if (parsed.Value is null) return new(null, null, parsed.Faults);
        using var document = parsed.Value;
        return ReadBoard(document.RootElement, "", limits);
    }

    /// <summary>Reads a layout that is part of what was posted.</summary>
    /// <param name="json">Of a document from <see cref="PostedJson"/>.</param>
    /// <param name="pointer">Where it stands in what was posted, e.g. <c>/layout</c>; it begins the pointer of each fault.</param>
    /// <param name="limits">Null: the defaults.</param>
    public static LayoutReading ReadBoard(JsonElement json, string pointer, LayoutLimits? limits = null)
    {
        limits ??= LayoutLimits.Default;
        var (state, root) = (new ReadingState(limits), JsonPointer.Root(pointer));
        var document = LayoutSections.ReadLayout(json, root, state);
        var board = BoardBuilder.Build(document, root, state.Faults, limits);
        return state.Faults.Any ? new(null, null, state.Faults.Faults()) : new(document, board, []);
    }
}
