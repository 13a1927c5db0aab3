using System.Text.Json;
using HeatSpread.Boards;
using HeatSpread.Import;

namespace HeatSpread.Service.Layouts;

/// <summary>What was recognised of a posted board, before anything is stored.</summary>
/// <param name="Id">What the layout's id would be.</param>
/// <param name="Warnings">What was guessed, skipped or repaired.</param>
/// <param name="Summary">As a stored layout has it.</param>
/// <param name="Layers">Copper layers, top to bottom.</param>
/// <param name="Nets">Names.</param>
/// <param name="Parts">The layout's parts, and the components that the files know besides.</param>
/// <param name="Layout">The whole layout, to be looked at, changed and posted.</param>
internal sealed record LayoutPreview(
    string Id, IReadOnlyList<string> Warnings, LayoutSummary Summary, IReadOnlyList<PreviewLayer> Layers, IReadOnlyList<string> Nets, IReadOnlyList<PreviewPart> Parts, JsonElement Layout)
{
    public static LayoutPreview Of(IntakeResult intake, CancellationToken cancellationToken)
    {
        var layout = intake.Layout!;
        var summary = LayoutSummary.Of(layout.Board, intake.DrilledHoles, cancellationToken);
        var files = intake.LayerFiles;
        return new LayoutPreview(
            layout.Id,
            intake.Warnings,
            summary,
            [.. layout.Board.Layers.Select((layer, i) => new PreviewLayer(layer.Name, i < files.Count ? files[i] : null, layout.Board.Rows[layer.Row].Thickness * 1e6, summary.Layers[i].CopperMm2))],
            [.. layout.Board.Nets.Select(n => n.Name)],
            AllParts(layout.Board, intake.Components),
            JsonElement.Parse(layout.Canonical));
    }

    private static List<PreviewPart> AllParts(Board board, IReadOnlyList<FoundComponent> components)
    {
        var found = components.ToDictionary(c => c.Id, StringComparer.Ordinal);
        var parts = board.Parts.Select(p => Part(p.Id, p.Side == BoardSide.Bottom ? "bottom" : "top", found.GetValueOrDefault(p.Id), p.Terminals.Count, p.Watts, true)).ToList();
        var known = board.Parts.Select(p => p.Id).ToHashSet(StringComparer.Ordinal);
        parts.AddRange(components.Where(c => !known.Contains(c.Id)).Select(c => Part(c.Id, c.Side, c, c.Pins, null, false)));
        return parts;
    }

    private static PreviewPart Part(string id, string? side, FoundComponent? component, int terminals, double? watts, bool isInLayout) =>
        new(id, side, component?.AtMm is { } at ? [at.X, at.Y] : null, component?.RotationDegrees, component?.HeightMm, terminals, watts, isInLayout);
}

/// <param name="Name">Of the stack row.</param>
/// <param name="File">It was read from; null for a layout posted as JSON.</param>
/// <param name="ThicknessUm">Of the row.</param>
/// <param name="CopperMm2">As drawn.</param>
internal sealed record PreviewLayer(string Name, string? File, double ThicknessUm, double CopperMm2);

/// <param name="Id">Reference designator.</param>
/// <param name="Side"><c>top</c> or <c>bottom</c>; null where unknown.</param>
/// <param name="AtMm">Place, where the files say it.</param>
/// <param name="RotationDegrees">Where the files say it.</param>
/// <param name="HeightMm">Where the files say it.</param>
/// <param name="Terminals">Terminals in the layout, or pins that the files name.</param>
/// <param name="Watts">Null for a component that is no part of the layout.</param>
/// <param name="InLayout">It is a part of the layout; otherwise the description may name it to make it one.</param>
internal sealed record PreviewPart(string Id, string? Side, double[]? AtMm, double? RotationDegrees, double? HeightMm, int Terminals, double? Watts, bool InLayout);
