using HeatSpread.Boards;
using HeatSpread.Thermal;

namespace HeatSpread.Rendering;

/// <summary>Picture of where more copper on a layer would cool a part.</summary>
public static class BenefitPicture
{
    /// <summary>Share of the places with a benefit that the scale holds: at corners of copper the benefit has no bound, and a few cells would darken all others.</summary>
    private const double WithinScale = 0.98;

    /// <param name="board">The board.</param>
    /// <param name="grid">Of the values.</param>
    /// <param name="kelvinPerMm2">K saved per mm² of copper added, <c>[row * Columns + column]</c>, NaN outside the board, 0 where none may be put.</param>
    /// <param name="layer">Index into the board's layers.</param>
    /// <param name="part">Id of the part that is cooled.</param>
    /// <param name="options">How it is drawn; the ends of the scale are K/mm². Isotherms and heat flow do not belong to it.</param>
    /// <returns>A PNG, the same bytes for the same input; x to the right and y up on every layer, as seen from the top.</returns>
    /// <exception cref="ArgumentException">An option or the layer is out of range, or the palette unknown.</exception>
    public static byte[] Draw(Board board, BoardGrid grid, float[] kelvinPerMm2, int layer, string part, MapOptions options)
    {
        ArgumentNullException.ThrowIfNull(board);
        ArgumentNullException.ThrowIfNull(grid);
        ArgumentNullException.ThrowIfNull(kelvinPerMm2);
        ArgumentNullException.ThrowIfNull(options);
        ArgumentOutOfRangeException.ThrowIfNegative(layer);
        ArgumentOutOfRangeException.ThrowIfGreaterThanOrEqual(layer, board.Layers.Count);
        var surface = new ValueSurface(grid, kelvinPerMm2);
        float[] helps = [.. kelvinPerMm2.Where(benefit => benefit > 0).Order()];
        double most = helps.Length == 0 ? 1 : Math.Max(helps[(int)(WithinScale * (helps.Length - 1))], 1e-6);
        return new ScalarMap
        {
            Board = board,
            Layer = layer,
            Surface = surface,
            Scale = new ColourScale(options.MinCelsius ?? 0, options.MaxCelsius ?? most, Palettes.Find(options.Palette ?? Palettes.Default)),
            Unit = "K/mm²",
            Detail = "copper added here cools " + part,
            Options = options,
        }.Draw();
    }
}
