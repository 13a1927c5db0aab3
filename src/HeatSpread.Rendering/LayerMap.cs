using HeatSpread.Boards;
using HeatSpread.Insight;
using HeatSpread.Thermal;

namespace HeatSpread.Rendering;

/// <summary>False-colour picture of one copper layer's temperatures.</summary>
public static class LayerMap
{
    /// <param name="board">The board.</param>
    /// <param name="raster">Its copper in the field's cells; null where no flow is drawn.</param>
    /// <param name="field">Its temperatures.</param>
    /// <param name="layer">Index into the board's layers.</param>
    /// <param name="hotSpots">Of the whole board; those of the layer are marked.</param>
    /// <param name="options">How it is drawn.</param>
    /// <returns>A PNG, the same bytes for the same input; x to the right and y up on every layer, as seen from the top.</returns>
    /// <exception cref="ArgumentException">An option or the layer is out of range, the palette unknown, or flow asked for without a raster.</exception>
    public static byte[] Draw(Board board, CopperRaster? raster, TemperatureField field, int layer, IReadOnlyList<HotSpot> hotSpots, MapOptions options)
    {
        ArgumentNullException.ThrowIfNull(board);
        ArgumentNullException.ThrowIfNull(field);
        ArgumentNullException.ThrowIfNull(hotSpots);
        ArgumentNullException.ThrowIfNull(options);
        if (options.Flow) ArgumentNullException.ThrowIfNull(raster);
        ArgumentOutOfRangeException.ThrowIfNegative(layer);
        ArgumentOutOfRangeException.ThrowIfGreaterThanOrEqual(layer, board.Layers.Count);
        var surface = new ValueSurface(field.Grid, field.RowCelsius[board.Layers[layer].Row]);
        return new ScalarMap
        {
            Board = board,
            Layer = layer,
            Surface = surface,
            Scale = ColourScale.For(surface.Range, options.MinCelsius, options.MaxCelsius, Palettes.Find(options.Palette ?? Palettes.Default)),
            Unit = "°C",
            Detail = Legend.RangeText(surface.Range, "°C"),
            HotSpots = hotSpots,
            Flow = options.Flow ? FlowField.Of(board, raster!, field, layer) : null,
            Options = options,
        }.Draw();
    }
}
