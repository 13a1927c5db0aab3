using HeatSpread.Boards;
using HeatSpread.Thermal;

namespace HeatSpread.Service.Layouts;

/// <summary>The answer to a posted layout.</summary>
/// <param name="Id">Digest of the content.</param>
/// <param name="Warnings">What was guessed, skipped or repaired.</param>
/// <param name="Summary">What the layout holds.</param>
internal sealed record LayoutReceipt(string Id, IReadOnlyList<string> Warnings, LayoutSummary Summary);

/// <summary>What a layout holds, to be compared with what its maker expects.</summary>
/// <param name="OutlineMm2">Area of the board.</param>
/// <param name="Layers">Top to bottom.</param>
/// <param name="Holes">By diameter, smallest first.</param>
/// <param name="Nets">How many.</param>
/// <param name="Parts">How many.</param>
internal sealed record LayoutSummary(double OutlineMm2, IReadOnlyList<LayerArea> Layers, IReadOnlyList<HoleCount> Holes, int Nets, int Parts)
{
    private const double Mm2PerM2 = 1e6;
    private const int CellsAlongLongerSide = 400;

    /// <param name="board">Its copper is counted as drawn: drilled holes are not subtracted.</param>
    /// <param name="drilledHoles">Where they are known apart from the board's vias.</param>
    /// <param name="cancellationToken">Gives up.</param>
    public static LayoutSummary Of(Board board, IReadOnlyList<HoleCount>? drilledHoles, CancellationToken cancellationToken)
    {
        var box = board.Outline.Bounds;
        var grid = BoardGrid.Over(box, Math.Max(box.Width, box.Height) / CellsAlongLongerSide); // areas are exact at any pitch
        var raster = CopperRaster.Build(board, grid, cancellationToken);
        return new LayoutSummary(
            board.Outline.Polygons.Sum(p => p.Area) * Mm2PerM2,
            [.. board.Layers.Select((layer, i) => new LayerArea(layer.Name, raster.Layers[i].CopperArea * Mm2PerM2))],
            drilledHoles ?? CountHoles(board),
            board.Nets.Count,
            board.Parts.Count);
    }

    private static HoleCount[] CountHoles(Board board) =>
    [
        .. board.Vias
            .GroupBy(via => (Drill: Math.Round(via.Drill * 1e3, 6), Plated: via.Plating > 0)) // a millionth of a millimetre: one drill may come in two units
            .Select(group => new HoleCount(group.Key.Drill, group.Sum(via => via.At.Count), group.Key.Plated))
            .OrderBy(hole => hole.DrillMm).ThenBy(hole => hole.Plated),
    ];
}

internal sealed record LayerArea(string Name, double CopperMm2);

internal sealed record HoleCount(double DrillMm, int Count, bool Plated);

/// <summary>What the list shows of a layout, and what is kept beside it.</summary>
/// <param name="Name">Of the board.</param>
/// <param name="Revision">Of the board.</param>
/// <param name="Unit"><c>mm</c> or <c>inch</c>.</param>
/// <param name="Created">When it came.</param>
/// <param name="NotSummed">True where it came with a request for something else, and no summary was made; else null.</param>
internal sealed record LayoutLabels(string Name, string Revision, string Unit, DateTimeOffset Created, bool? NotSummed = null)
{
    /// <summary>A file beside tells what an import guessed. Entries of earlier builds have none.</summary>
    public bool HasImportWarnings { get; init; }
}

internal sealed record LayoutList(IReadOnlyList<LayoutListItem> Layouts);

internal sealed record LayoutListItem(string Id, string Name, string Revision, string Unit, DateTimeOffset Created);
