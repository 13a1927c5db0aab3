using System.Runtime.CompilerServices;
using System.Runtime.Intrinsics;
using HeatSpread.Solver.Multigrid;

namespace HeatSpread.Solver;

/// <summary>heat − conductances × temperature in double, straight from the user's network.</summary>
internal static unsafe class TrueResidual
{
    /// <summary>Residuals of the cells of one row of one sheet.</summary>
    /// <param name="network">The network.</param>
    /// <param name="heat">Of all unknowns.</param>
    /// <param name="temperature">As <paramref name="heat"/>.</param>
    /// <param name="offset">By which all temperatures are higher yet; at links to the sink alone it counts.</param>
    /// <param name="sheet">Sheet.</param>
    /// <param name="row">Row.</param>
    /// <param name="residual">Filled.</param>
    public static void Row(Conductances network, double* heat, double* temperature, double offset, int sheet, int row, double* residual)
    {
        int columns = network.Columns, start = (sheet * network.SheetStride) + (row * network.RowStride);
        double* t = temperature + start;
        fixed (float* sink = &network.ToSink[start], east = &network.East[start], north = &network.North[start], below = &network.Below[start])
        {
            AlongRow(residual, heat + start, t, offset, sink, east, columns);
            if (row > 0) AddFlow(residual, t, t - network.RowStride, north - network.RowStride, columns);
            if (row + 1 < network.Rows) AddFlow(residual, t, t + network.RowStride, north, columns);
            if (sheet > 0) AddFlow(residual, t, t - network.SheetStride, below - network.SheetStride, columns);
            if (sheet + 1 < network.Sheets) AddFlow(residual, t, t + network.SheetStride, below, columns);
        }
    }

    /// <summary>What flows to the sink from the cells of one row of one sheet.</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    public static double FlowToSink(Conductances network, double* temperature, int sheet, int row)
    {
        int columns = network.Columns, start = (sheet * network.SheetStride) + (row * network.RowStride), x = 0;
        double* t = temperature + start;
        Vector512<double> low = default, high = default;
        fixed (float* sink = &network.ToSink[start])
        {
            for (; x + 16 <= columns; x += 16)
            {
                var (first, second) = Vector512.Widen(Vector512.Load(sink + x));
                low += first * Vector512.Load(t + x);
                high += second * Vector512.Load(t + x + 8);
            }

            var sum = Vector512.Sum(low + high);
            for (; x < columns; x++) sum += sink[x] * t[x];
            return sum;
        }
    }

    /// <summary>residual = heat − what leaves to the sink and along the row.</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private static void AlongRow(double* residual, double* heat, double* t, double offset, float* sink, float* east, int columns)
    {
        residual[0] = heat[0] - (sink[0] * (t[0] + offset)) + (columns > 1 ? east[0] * (t[1] - t[0]) : 0);
        var raised = Vector512.Create(offset);
        var x = 1;
        for (; x + 17 <= columns; x += 16)
        {
            var (sinkLow, sinkHigh) = Vector512.Widen(Vector512.Load(sink + x));
            var (eastLow, eastHigh) = Vector512.Widen(Vector512.Load(east + x));
            var (westLow, westHigh) = Vector512.Widen(Vector512.Load(east + x - 1));
            Vector512<double> own = Vector512.Load(t + x), next = Vector512.Load(t + x + 8);
            (Vector512.Load(heat + x) - (sinkLow * (own + raised)) + (eastLow * (Vector512.Load(t + x + 1) - own)) + (westLow * (Vector512.Load(t + x - 1) - own))).Store(residual + x);
            (Vector512.Load(heat + x + 8) - (sinkHigh * (next + raised)) + (eastHigh * (Vector512.Load(t + x + 9) - next)) + (westHigh * (Vector512.Load(t + x + 7) - next))).Store(residual + x + 8);
        }

        for (; x < columns; x++)
            residual[x] = heat[x] - (sink[x] * (t[x] + offset)) + (x + 1 < columns ? east[x] * (t[x + 1] - t[x]) : 0) + (east[x - 1] * (t[x - 1] - t[x]));
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private static void AddFlow(double* residual, double* t, double* other, float* conductance, int columns)
    {
        var x = 0;
        for (; x + 16 <= columns; x += 16)
        {
            var (low, high) = Vector512.Widen(Vector512.Load(conductance + x));
            (Vector512.Load(residual + x) + (low * (Vector512.Load(other + x) - Vector512.Load(t + x)))).Store(residual + x);
            (Vector512.Load(residual + x + 8) + (high * (Vector512.Load(other + x + 8) - Vector512.Load(t + x + 8)))).Store(residual + x + 8);
        }

        for (; x < columns; x++) residual[x] += conductance[x] * (other[x] - t[x]);
    }
}
