using System.Text.Json;
using HeatSpread.Boards;
using HeatSpread.Import;
using HeatSpread.Service.Problems;
using HeatSpread.Service.Storage;

namespace HeatSpread.Service.Layouts;

/// <summary>What came of a posted layout: exactly one of layout and problem.</summary>
/// <param name="Layout">Sound, and not yet stored.</param>
/// <param name="Problem">Every fault.</param>
/// <param name="Warnings">What an import guessed, skipped or repaired.</param>
internal sealed record IntakeResult(LayoutInUse? Layout, Problem? Problem, IReadOnlyList<string> Warnings)
{
    /// <summary>Round holes as the drill files have them; null where the layout's vias are all that is known. (An imported slot is a row of vias.)</summary>
    public IReadOnlyList<HoleCount>? DrilledHoles { get; init; }

    /// <summary>Components that the files know.</summary>
    public IReadOnlyList<FoundComponent> Components { get; init; } = [];

    /// <summary>The file of each copper layer, top to bottom; empty for a layout posted as JSON.</summary>
    public IReadOnlyList<string> LayerFiles { get; init; } = [];
}

/// <summary>From posted bytes to a checked layout.</summary>
internal static class LayoutIntake
{
    /// <summary>Of a layout as JSON.</summary>
    public static IntakeResult Read(ReadOnlyMemory<byte> json, LayoutLimits limits)
    {
        var parsed = PostedJson.Parse(json, limits);
        if (parsed.Value is null) return Refuse(Malformed(parsed.Faults, json, limits));
        using var document = parsed.Value;
        return Read(document.RootElement, "", limits);
    }

    /// <summary>Of a layout that is part of what was posted.</summary>
    /// <param name="json">Of a document from <see cref="PostedJson"/>.</param>
    /// <param name="pointer">Where it stands; it begins the pointer of each fault.</param>
    /// <param name="limits">How large it may be.</param>
    public static IntakeResult Read(JsonElement json, string pointer, LayoutLimits limits)
    {
        var reading = LayoutReading.ReadBoard(json, pointer, limits);
        return reading.Board is null ? Refuse(Problem.Of(ProblemKind.InvalidLayout, reading.Faults)) : new IntakeResult(InUse(reading.Document!, reading.Board), null, []);
    }

    /// <summary>Of fabrication files and their description.</summary>
    public static IntakeResult Import(ReadOnlyMemory<byte> descriptionJson, IReadOnlyList<FabricationFile> files, LayoutLimits limits, ImportLimits importLimits, CancellationToken cancellationToken)
    {
        var parsed = PostedJson.Parse(descriptionJson, limits);
        if (parsed.Value is null) return Refuse(Malformed(parsed.Faults, descriptionJson, limits));
        parsed.Value.Dispose();
        var description = LayoutReader.ReadDescription(descriptionJson, limits);
        if (description.Value is null) return Refuse(Problem.Of(ProblemKind.InvalidFabricationData, description.Faults));
        var import = FabricationImport.Import(description.Value, files, importLimits, cancellationToken);
        if (import.Layout is null) return Refuse(Problem.Of(ProblemKind.InvalidFabricationData, import.Faults));
        var board = BoardBuilder.Build(import.Layout, limits: limits);
        return board.Value is null
            ? Refuse(Problem.Of(ProblemKind.InvalidFabricationData, board.Faults))
            : new IntakeResult(InUse(import.Layout, board.Value), null, import.Warnings)
            {
                Components = import.Components,
                LayerFiles = import.LayerFiles,
                DrilledHoles = [.. import.Holes.Select(h => new HoleCount(h.DrillMm, h.Count, h.Plated))],
            };
    }

    /// <summary>Of edits to a layout that is kept.</summary>
    /// <param name="layout">Before them.</param>
    /// <param name="json">As posted, UTF-8.</param>
    /// <param name="limits">How large the layout may be.</param>
    public static IntakeResult Edit(LayoutInUse layout, ReadOnlyMemory<byte> json, LayoutLimits limits)
    {
        var parsed = PostedJson.Parse(json, limits);
        if (parsed.Value is null) return Refuse(Malformed(parsed.Faults, json, limits));
        using var document = parsed.Value;
        var before = LayoutReader.Read(layout.Canonical).Value ?? throw new InvalidDataException($"The stored layout {layout.Id} does not pass the checks of this version.");
        var reading = LayoutEdits.Apply(before, document.RootElement, limits);
        return reading.Board is null ? Refuse(Problem.Of(ProblemKind.InvalidLayout, reading.Faults)) : new IntakeResult(InUse(reading.Document!, reading.Board), null, []);
    }

    public static Problem Malformed(IReadOnlyList<Fault> faults, ReadOnlyMemory<byte> json, LayoutLimits limits) =>
        new(PostedJson.IsTooDeep(json.Span, limits) ? ProblemKind.TooDeep : ProblemKind.MalformedJson, faults[0].Detail);

    private static LayoutInUse InUse(LayoutDocument document, Board board)
    {
        byte[] canonical = LayoutWriter.Write(document);
        return new LayoutInUse(ContentId.Of(canonical), document.Unit, board, canonical);
    }

    private static IntakeResult Refuse(Problem problem) => new(null, problem, []);
}
