using HeatSpread.Boards;
using HeatSpread.Import.Connectivity;

namespace HeatSpread.Import.Assembly;

/// <summary>What the files say of a board, whatever their format: the common ground from which the layout is put together.</summary>
internal sealed record FabricationData
{
    public required IReadOnlyList<StackRowDocument> Stack { get; init; }

    /// <summary>Of the copper rows, top to bottom.</summary>
    public required IReadOnlyList<string> Names { get; init; }

    public required Region Outline { get; init; }

    public required BoardCopper Copper { get; init; }

    public required IReadOnlyList<BoardHole> Holes { get; init; }

    /// <summary>Components as the files place them.</summary>
    public IReadOnlyList<BoardComponent> Components { get; init; } = [];

    /// <summary>Every component becomes a part, not only those that the description names.</summary>
    public bool AllComponentsAreParts { get; init; }

    /// <summary>Net names at places, from a netlist.</summary>
    public IReadOnlyList<NetMark> NetPoints { get; init; } = [];
}

/// <summary>A component as files place it.</summary>
/// <param name="Id">Reference designator.</param>
/// <param name="Side"><c>top</c> or <c>bottom</c>; null where unknown.</param>
/// <param name="At">Place, mm; null where unknown.</param>
internal sealed record BoardComponent(string Id, string? Side, Point? At)
{
    /// <summary>Counter-clockwise as seen from the top.</summary>
    public double? RotationDegrees { get; init; }

    /// <summary>On the board, mm.</summary>
    public Region? Body { get; init; }

    /// <summary>Above its side of the board.</summary>
    public double? HeightMm { get; init; }

    /// <summary>Pins by name and place on the board, mm, where the file says them apart from the copper.</summary>
    public IReadOnlyList<(string Name, Point At)> Pins { get; init; } = [];

    /// <summary>The file it was read from.</summary>
    public required string Source { get; init; }
}
