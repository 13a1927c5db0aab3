using HeatSpread.Boards;
using HeatSpread.Thermal.Raster;

namespace HeatSpread.Thermal;

/// <summary>The copper of every layer in the cells of a grid.</summary>
public sealed class CopperRaster
{
    private CopperRaster(BoardGrid grid, float[] boardShare, double boardArea, IReadOnlyList<LayerRaster> layers)
    {
        Grid = grid;
        BoardShare = boardShare;
        BoardArea = boardArea;
        Layers = layers;
    }

    public BoardGrid Grid { get; }

    /// <summary>Share of each cell that is board, 0 to 1, <c>[row * Columns + column]</c>.</summary>
    public IReadOnlyList<float> BoardShare { get; }

    /// <summary>Area inside the outline, openings taken off, m².</summary>
    public double BoardArea { get; }

    /// <summary>One a copper layer, top to bottom.</summary>
    public IReadOnlyList<LayerRaster> Layers { get; }

    internal float[] BoardShareArray => (float[])BoardShare;

    /// <summary>The same board with other copper on its layers.</summary>
    internal CopperRaster With(IReadOnlyList<LayerRaster> layers) => new(Grid, BoardShareArray, BoardArea, layers);

    /// <summary>Rasters the outline and every layer. Copper beyond the outline is cut off.</summary>
    /// <param name="board">What is drawn.</param>
    /// <param name="grid">Into which cells.</param>
    /// <param name="cancellationToken">Checked between rows of cells.</param>
    /// <exception cref="OperationCanceledException">As the token asks.</exception>
    public static CopperRaster Build(Board board, BoardGrid grid, CancellationToken cancellationToken)
    {
        ArgumentNullException.ThrowIfNull(board);
        ArgumentNullException.ThrowIfNull(grid);
        var outline = new RowIndex(PaintProgram.ForRegion(board.Outline), grid);
        var boardShare = RegionCover.Of(outline, grid, cancellationToken);
        var layers = new LayerRaster[board.Layers.Count];
        // What is painted is gathered on one thread a layer: layers at once, and no more than there are cores, as each holds its shapes meanwhile.
        var options = new ParallelOptions { CancellationToken = cancellationToken, MaxDegreeOfParallelism = Environment.ProcessorCount };
        Parallel.For(0, layers.Length, options, layer =>
        {
            var pattern = FinePattern.Scan(new RowIndex(PaintProgram.ForLayer(board, layer), grid), outline, grid, cancellationToken);
            var row = board.Rows[board.Layers[layer].Row];
            layers[layer] = LayerRaster.From(pattern, grid, boardShare, row.Fill.InPlane / row.CopperConductivity, cancellationToken);
        });
        double boardArea = boardShare.Sum(share => (double)share) * grid.CellArea;
        return new CopperRaster(grid, boardShare, boardArea, layers);
    }

    /// <summary>Whether two boards, on the same grid, have the same raster: outline, layers and their shapes are drawn alike, of materials that conduct alike against each other.</summary>
    public static bool AreDrawnAlike(Board first, Board second)
    {
        ArgumentNullException.ThrowIfNull(first);
        ArgumentNullException.ThrowIfNull(second);
        if (first == second) return true;
        return HaveSameOutline(first, second) && first.Layers.Count == second.Layers.Count && Enumerable.Range(0, first.Layers.Count).All(layer => Difference(first, layer, second, layer) is null);
    }

    /// <summary>As <see cref="Build"/>, where only what differs from a board drawn before is drawn again: nothing, the surroundings of other shapes, or a layer whose materials differ.</summary>
    /// <param name="board">What is drawn.</param>
    /// <param name="former">What <paramref name="drawn"/> is the raster of.</param>
    /// <param name="drawn">On the same grid.</param>
    /// <param name="cancellationToken">Checked between rows of cells.</param>
    /// <returns><paramref name="drawn"/> itself where nothing differs.</returns>
    /// <exception cref="OperationCanceledException">As the token asks.</exception>
    public static CopperRaster Near(Board board, Board former, CopperRaster drawn, CancellationToken cancellationToken)
    {
        ArgumentNullException.ThrowIfNull(board);
        ArgumentNullException.ThrowIfNull(former);
        ArgumentNullException.ThrowIfNull(drawn);
        if (board == former) return drawn;
        if (!HaveSameOutline(board, former) || board.Layers.Count != former.Layers.Count) return Build(board, drawn.Grid, cancellationToken);
        var raster = drawn;
        for (int layer = 0; layer < board.Layers.Count; layer++)
        {
            if (Difference(board, layer, former, layer) is { } box) raster = raster.Redrawn(board, box, [layer], cancellationToken);
        }
        return raster;
    }

    private static bool HaveSameOutline(Board first, Board second) => PaintDifference.Between(PaintProgram.ForRegion(first.Outline), PaintProgram.ForRegion(second.Outline)) is null;

    /// <summary>Where two boards of one outline have a layer drawn otherwise, m; null: nowhere. All of the board where its materials conduct otherwise against each other.</summary>
    internal static Box? Difference(Board board, int layer, Board other, int otherLayer)
    {
        StackRow row = board.Rows[board.Layers[layer].Row], otherRow = other.Rows[other.Layers[otherLayer].Row];
        bool sameMaterials = row.Fill.InPlane * otherRow.CopperConductivity == otherRow.Fill.InPlane * row.CopperConductivity;
        return sameMaterials ? PaintDifference.Between(PaintProgram.ForLayer(board, layer), PaintProgram.ForLayer(other, otherLayer)) : board.Outline.Bounds;
    }

    /// <summary>Draws again what an edit changed, and keeps the rest.</summary>
    /// <param name="edited">The board after the edit; its outline, stack and layers are those of the board that this is the raster of.</param>
    /// <param name="changed">Holds every change of copper, m.</param>
    /// <param name="layers">Those with a change.</param>
    /// <param name="cancellationToken">Checked between rows of cells.</param>
    internal CopperRaster Redrawn(Board edited, Box changed, IReadOnlyCollection<int> layers, CancellationToken cancellationToken)
    {
        var window = new RedrawnWindow(this, edited, changed);
        var redrawn = Layers.ToArray();
        foreach (int layer in layers) redrawn[layer] = window.Draw(redrawn[layer], window.All(window.Index(edited, layer), cancellationToken), edited.Rows[edited.Layers[layer].Row], cancellationToken);
        return new CopperRaster(Grid, BoardShareArray, BoardArea, redrawn);
    }
}
