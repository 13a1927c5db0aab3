using HeatSpread.Boards;
using HeatSpread.Thermal;

namespace HeatSpread.Rendering;

/// <summary>Picture of the current density in one copper layer.</summary>
public static class CurrentMap
{
    /// <param name="board">The board.</param>
    /// <param name="field">Its temperatures and currents.</param>
    /// <param name="layer">Index into the board's layers.</param>
    /// <param name="options">How it is drawn; the ends of the scale are A/mm². Isotherms and heat flow do not belong to it.</param>
    /// <returns>A PNG, the same bytes for the same input; x to the right and y up on every layer, as seen from the top.</returns>
    /// <exception cref="ArgumentException">An option or the layer is out of range, the palette unknown, or the field has no currents.</exception>
    public static byte[] Draw(Board board, TemperatureField field, int layer, MapOptions options)
    {
        ArgumentNullException.ThrowIfNull(board);
        ArgumentNullException.ThrowIfNull(field);
        ArgumentNullException.ThrowIfNull(options);
        ArgumentOutOfRangeException.ThrowIfNegative(layer);
        ArgumentOutOfRangeException.ThrowIfGreaterThanOrEqual(layer, board.Layers.Count);
        if (field.Currents is null) throw new ArgumentException("The field has no currents.", nameof(field));
        var surface = new ValueSurface(field.Grid, field.Currents.LayerAmpsPerMm2[layer]);
        return new ScalarMap
        {
            Board = board,
            Layer = layer,
            Surface = surface,
            Scale = ColourScale.For(surface.Range, options.MinCelsius ?? 0, options.MaxCelsius, Palettes.Find(options.Palette ?? Palettes.Default)),
            Unit = "A/mm²",
            Detail = "current density, " + Legend.RangeText(surface.Range, "A/mm²"),
            Options = options,
        }.Draw();
    }
}
