using HeatSpread.Boards;

namespace HeatSpread.Thermal;

/// <summary>The copper of every layer in the cells of a grid.</summary>
public sealed class CopperRaster
{
    internal CopperRaster(BoardGrid grid, float[] boardShare, IReadOnlyList<LayerRaster> layers)
    {
        Grid = grid;
        BoardShare = boardShare;
        Layers = layers;
    }

    public BoardGrid Grid { get; }

    /// <summary>Share of each cell that is board, 0 to 1.</summary>
    public IReadOnlyList<float> BoardShare { get; }

    /// <summary>One a copper layer, top to bottom.</summary>
    public IReadOnlyList<LayerRaster> Layers { get; }

    /// <param name="board">What is drawn.</param>
    /// <param name="grid">Into which cells.</param>
    /// <param name="cancellationToken">Checked between bands of cells.</param>
    public static CopperRaster Build(Board board, BoardGrid grid, CancellationToken cancellationToken) => throw new NotImplementedException();
}

/// <summary>One copper layer in cells.</summary>
public sealed class LayerRaster
{
    /// <summary>Share of each cell that is copper, 0 to 1, <c>[row * Columns + column]</c>.</summary>
    public required float[] CopperShare { get; init; }

    /// <summary>The net that owns most of a cell's copper: index into the board's nets; -1 for none.</summary>
    public required int[] Net { get; init; }

    /// <summary>Copper on the layer as drawn, m².</summary>
    public required double CopperArea { get; init; }
}
