using HeatSpread.Boards;
using HeatSpread.Thermal;

namespace HeatSpread.Rendering;

/// <summary>A copper layer of a solved board.</summary>
/// <param name="Board">The board.</param>
/// <param name="Field">Its temperatures.</param>
/// <param name="Layer">Index into the board's layers.</param>
public sealed record SolvedLayer(Board Board, TemperatureField Field, int Layer)
{
    internal float[] Celsius => Field.RowCelsius[Board.Layers[Layer].Row];
}

/// <summary>How much warmer (red) or cooler (blue) one revision of a board is than another.</summary>
public static class DifferenceMap
{
    /// <param name="baseline">What is compared with.</param>
    /// <param name="candidate">What is compared; its outlines are drawn.</param>
    /// <param name="options">How it is drawn. The scale is symmetrical about 0: a fixed end is taken for both.</param>
    /// <returns>A PNG, the same bytes for the same input; board that only the candidate has is grey.</returns>
    /// <exception cref="ArgumentException">An option or a layer is out of range, the palette unknown, or the boards have no place in common.</exception>
    public static byte[] Draw(SolvedLayer baseline, SolvedLayer candidate, MapOptions options)
    {
        ArgumentNullException.ThrowIfNull(baseline);
        ArgumentNullException.ThrowIfNull(candidate);
        ArgumentNullException.ThrowIfNull(options);
        return Draw(baseline.Board, candidate.Board, candidate.Field.Grid, Differences(baseline, candidate), candidate.Layer, options);
    }

    /// <param name="baseline">What is compared with: its name and its outline are shown.</param>
    /// <param name="candidate">What is compared; its outlines are drawn.</param>
    /// <param name="grid">Of the differences.</param>
    /// <param name="kelvin">Candidate less baseline, <c>[row * Columns + column]</c>, NaN where one of them has no board.</param>
    /// <param name="layer">Index into the candidate's layers.</param>
    /// <param name="options">How it is drawn. The scale is symmetrical about 0: a fixed end is taken for both.</param>
    /// <returns>A PNG, the same bytes for the same input; board that only the candidate has is grey.</returns>
    /// <exception cref="ArgumentException">An option is out of range, the palette unknown, or the boards have no place in common.</exception>
    public static byte[] Draw(Board baseline, Board candidate, BoardGrid grid, float[] kelvin, int layer, MapOptions options)
    {
        ArgumentNullException.ThrowIfNull(baseline);
        ArgumentNullException.ThrowIfNull(candidate);
        ArgumentNullException.ThrowIfNull(grid);
        ArgumentNullException.ThrowIfNull(options);
        var surface = new ValueSurface(grid, kelvin);
        return new ScalarMap
        {
            Board = candidate,
            Layer = layer,
            Surface = surface,
            Scale = ColourScale.Signed(surface.Range, options.MinCelsius, options.MaxCelsius, Palettes.Find(options.Palette ?? Palettes.Difference)),
            Unit = "K",
            Detail = Legend.RangeText(surface.Range, "K", isSigned: true) + " against " + ScalarMap.Source(baseline),
            IsSigned = true,
            ValuesWithin = baseline.Outline,
            Options = options,
        }.Draw();
    }

    /// <summary>Candidate less baseline in the candidate's cells, K; NaN where one of them has no board.</summary>
    internal static float[] Differences(SolvedLayer baseline, SolvedLayer candidate)
    {
        var (grid, other) = (candidate.Field.Grid, baseline.Field.Grid);
        float[] celsius = candidate.Celsius, before = baseline.Celsius;
        var surface = new ValueSurface(other, before);
        var kelvin = new float[grid.CellCount];
        for (int cell = 0; cell < kelvin.Length; cell++)
        {
            var centre = grid.Centre(cell % grid.Columns, cell / grid.Columns);
            kelvin[cell] = HasValue(other, before, centre) ? celsius[cell] - (float)surface.At(centre) : float.NaN;
        }
        return kelvin;
    }

    private static bool HasValue(BoardGrid grid, float[] values, Point p)
    {
        double x = (p.X - grid.Origin.X) / grid.PitchX, y = (p.Y - grid.Origin.Y) / grid.PitchY;
        if (x < 0 || y < 0 || x >= grid.Columns || y >= grid.Rows) return false;
        var (column, row) = grid.CellAt(p);
        return !float.IsNaN(values[row * grid.Columns + column]);
    }
}
