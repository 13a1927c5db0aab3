namespace HeatSpread.Boards;

/// <summary>
/// Reads a layout document from JSON, strictly, and lists every fault of its form: keys, types, geometry objects and ranges of single values.
/// Whether it makes a board is <see cref="BoardBuilder"/>'s to say; <see cref="LayoutReading.ReadBoard(ReadOnlyMemory{byte}, LayoutLimits?)"/> asks both at once.
/// </summary>
public static class LayoutReader
{
    /// <summary>Reads a whole layout.</summary>
    /// <param name="json">UTF-8.</param>
    /// <param name="limits">Null: the defaults.</param>
    public static Reading<LayoutDocument> Read(ReadOnlyMemory<byte> json, LayoutLimits? limits = null)
    {
        var parsed = PostedJson.Parse(json, limits);
        if (parsed.Value is null) return new(null, parsed.Faults);
        using var document = parsed.Value;
        var (state, root) = (new ReadingState(limits ?? LayoutLimits.Default), JsonPointer.Root(""));
        var layout = LayoutSections.ReadLayout(document.RootElement, root, state);
        ValueRules.Check(layout, root, state.Faults);
        return state.Faults.Any ? new(null, state.Faults.Faults()) : new(layout, []);
    }

    /// <summary>Reads the description that accompanies fabrication files.</summary>
    /// <param name="json">UTF-8.</param>
    /// <param name="limits">Null: the defaults.</param>
    public static Reading<FabricationDescription> ReadDescription(ReadOnlyMemory<byte> json, LayoutLimits? limits = null)
    {
        var parsed = PostedJson.Parse(json, limits);
        if (parsed.Value is null) return new(null, parsed.Faults);
        using var document = parsed.Value;
        var (state, root) = (new ReadingState(limits ?? LayoutLimits.Default), JsonPointer.Root(""));
        var description = DescriptionSections.Read(document.RootElement, root, state);
        ValueRules.Check(description, root, state.Faults);
        return state.Faults.Any ? new(null, state.Faults.Faults()) : new(description, []);
    }
}
