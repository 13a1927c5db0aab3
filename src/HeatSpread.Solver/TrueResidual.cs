using HeatSpread.Solver.Multigrid;

namespace HeatSpread.Solver;

/// <summary>heat − conductances × temperature in double, straight from the user's network.</summary>
internal static class TrueResidual
{
    /// <summary>Residuals of the cells of one row of one sheet.</summary>
    public static void Row(Conductances network, ReadOnlySpan<double> heat, ReadOnlySpan<double> temperature, int sheet, int row, Span<double> residual)
    {
        int columns = network.Columns, start = (sheet * network.SheetStride) + (row * network.RowStride);
        ReadOnlySpan<double> t = temperature.Slice(start, columns), h = heat.Slice(start, columns);
        ReadOnlySpan<float> sink = network.ToSink.AsSpan(start, columns), east = network.East.AsSpan(start, columns);
        for (var x = 0; x < columns; x++) residual[x] = h[x] - (sink[x] * t[x]);
        for (var x = 0; x + 1 < columns; x++)
        {
            var flow = east[x] * (t[x + 1] - t[x]);
            residual[x] += flow;
            residual[x + 1] -= flow;
        }

        if (row > 0) AddFlow(residual, t, temperature.Slice(start - network.RowStride, columns), network.North.AsSpan(start - network.RowStride, columns));
        if (row + 1 < network.Rows) AddFlow(residual, t, temperature.Slice(start + network.RowStride, columns), network.North.AsSpan(start, columns));
        if (sheet > 0) AddFlow(residual, t, temperature.Slice(start - network.SheetStride, columns), network.Below.AsSpan(start - network.SheetStride, columns));
        if (sheet + 1 < network.Sheets) AddFlow(residual, t, temperature.Slice(start + network.SheetStride, columns), network.Below.AsSpan(start, columns));
    }

    private static void AddFlow(Span<double> residual, ReadOnlySpan<double> t, ReadOnlySpan<double> other, ReadOnlySpan<float> conductance)
    {
        for (var x = 0; x < residual.Length; x++) residual[x] += conductance[x] * (other[x] - t[x]);
    }
}
