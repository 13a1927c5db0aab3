using HeatSpread.Boards;

namespace HeatSpread.Thermal.Raster;

/// <summary>A window of a raster that is drawn anew while the rest stays as it is: for an edit, for what differs between two revisions, and for the steps of a study.</summary>
internal sealed class RedrawnWindow
{
    private readonly RowIndex _outline;
    private readonly float[] _boardShare;

    /// <param name="raster">That is kept outside.</param>
    /// <param name="board">Of the raster's outline.</param>
    /// <param name="changed">Holds every change of copper, m.</param>
    public RedrawnWindow(CopperRaster raster, Board board, Box changed)
    {
        Window = GridWindow.About(raster.Grid, changed);
        _outline = new RowIndex(PaintProgram.ForRegion(board.Outline), Window.Cells);
        _boardShare = Window.Cut(raster.BoardShareArray);
    }

    public GridWindow Window { get; }

    /// <summary>What is painted, by the window's rows.</summary>
    public RowIndex Index(Board board, int layer) => new(PaintProgram.ForLayer(board, layer), Window.Cells);

    /// <summary>The copper within the window.</summary>
    /// <param name="paint">As <see cref="Index"/> gives it.</param>
    /// <param name="cancellationToken">Checked between rows of cells.</param>
    public FinePattern All(RowIndex paint, CancellationToken cancellationToken) => Scan(paint, selection: null, cancellationToken);

    /// <summary>The copper that another drawing has too, of the same net.</summary>
    public FinePattern Shared(RowIndex paint, RowIndex other, CancellationToken cancellationToken) => Scan(paint, new(other, Shared: true), cancellationToken);

    /// <summary>The copper that another drawing has not, or not of the same net.</summary>
    public FinePattern Beyond(RowIndex paint, RowIndex other, CancellationToken cancellationToken) => Scan(paint, new(other, Shared: false), cancellationToken);

    /// <summary>A layer with other copper within the window.</summary>
    /// <param name="layer">As it was.</param>
    /// <param name="pattern">Of the window.</param>
    /// <param name="row">Of the stack: the layer's materials.</param>
    /// <param name="cancellationToken">Checked between rows of cells.</param>
    public LayerRaster Draw(LayerRaster layer, FinePattern pattern, StackRow row, CancellationToken cancellationToken) =>
        layer.With(LayerRaster.From(pattern, Window.Cells, _boardShare, row.Fill.InPlane / row.CopperConductivity, cancellationToken), Window);

    private FinePattern Scan(RowIndex paint, PaintSelection? selection, CancellationToken cancellationToken) => FinePattern.Scan(paint, _outline, Window.Cells, cancellationToken, selection: selection);
}
