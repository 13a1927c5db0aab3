using System.Runtime.CompilerServices;
using System.Runtime.Intrinsics;
using HeatSpread.Solver.Kernels;
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
        // Links to the cells before are held by these. Where there are none nothing is read.
        int south = row > 0 ? start - network.RowStride : start, above = sheet > 0 ? start - network.SheetStride : start;
        double* q = heat + start, t = temperature + start;
        if (network.Exact is { } exact)
        {
            fixed (double* sink = &exact.ToSink[start], east = &exact.East[start], toNorth = &exact.North[start], toSouth = &exact.North[south], toBelow = &exact.Below[start], toAbove = &exact.Below[above])
            {
                AlongRow(residual, q, t, offset, new DoubleRow(sink), new DoubleRow(east), new DoubleRow(east - 1), columns);
                AddFlows(network, sheet, row, residual, t, new DoubleRow(toNorth), new DoubleRow(toSouth), new DoubleRow(toBelow), new DoubleRow(toAbove));
            }

            return;
        }

        fixed (float* sink = &network.ToSink[start], east = &network.East[start], toNorth = &network.North[start], toSouth = &network.North[south], toBelow = &network.Below[start], toAbove = &network.Below[above])
        {
            AlongRow(residual, q, t, offset, new SingleRow(sink), new SingleRow(east), new SingleRow(east - 1), columns);
            AddFlows(network, sheet, row, residual, t, new SingleRow(toNorth), new SingleRow(toSouth), new SingleRow(toBelow), new SingleRow(toAbove));
        }
    }

    /// <summary>What flows to the sink from the cells of one row of one sheet.</summary>
    public static double FlowToSink(Conductances network, double* temperature, int sheet, int row)
    {
        int start = (sheet * network.SheetStride) + (row * network.RowStride);
        if (network.Exact is { } exact)
        {
            fixed (double* sink = &exact.ToSink[start]) return Flow(new DoubleRow(sink), temperature + start, network.Columns);
        }

        fixed (float* sink = &network.ToSink[start]) return Flow(new SingleRow(sink), temperature + start, network.Columns);
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private static double Flow<TRow>(TRow sink, double* t, int columns)
        where TRow : struct, IConductanceRow
    {
        Vector512<double> low = default, high = default;
        var x = 0;
        for (; x + 16 <= columns; x += 16)
        {
            var (first, second) = sink.Sixteen(x);
            low += first * Vector512.Load(t + x);
            high += second * Vector512.Load(t + x + 8);
        }

        var sum = Vector512.Sum(low + high);
        for (; x < columns; x++) sum += sink[x] * t[x];
        return sum;
    }

    /// <summary>residual = heat − what leaves to the sink and along the row.</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private static void AlongRow<TRow>(double* residual, double* heat, double* t, double offset, TRow sink, TRow east, TRow west, int columns)
        where TRow : struct, IConductanceRow
    {
        residual[0] = heat[0] - (sink[0] * (t[0] + offset)) + (columns > 1 ? east[0] * (t[1] - t[0]) : 0);
        var raised = Vector512.Create(offset);
        var x = 1;
        for (; x + 17 <= columns; x += 16)
        {
            var (sinkLow, sinkHigh) = sink.Sixteen(x);
            var (eastLow, eastHigh) = east.Sixteen(x);
            var (westLow, westHigh) = west.Sixteen(x);
            Vector512<double> own = Vector512.Load(t + x), next = Vector512.Load(t + x + 8);
            (Vector512.Load(heat + x) - (sinkLow * (own + raised)) + (eastLow * (Vector512.Load(t + x + 1) - own)) + (westLow * (Vector512.Load(t + x - 1) - own))).Store(residual + x);
            (Vector512.Load(heat + x + 8) - (sinkHigh * (next + raised)) + (eastHigh * (Vector512.Load(t + x + 9) - next)) + (westHigh * (Vector512.Load(t + x + 7) - next))).Store(residual + x + 8);
        }

        for (; x < columns; x++)
            residual[x] = heat[x] - (sink[x] * (t[x] + offset)) + (x + 1 < columns ? east[x] * (t[x + 1] - t[x]) : 0) + (west[x] * (t[x - 1] - t[x]));
    }

    /// <summary>residual += what comes from the neighbouring rows and sheets.</summary>
    private static void AddFlows<TRow>(Conductances network, int sheet, int row, double* residual, double* t, TRow toNorth, TRow toSouth, TRow toBelow, TRow toAbove)
        where TRow : struct, IConductanceRow
    {
        if (row > 0) AddFlow(residual, t, t - network.RowStride, toSouth, network.Columns);
        if (row + 1 < network.Rows) AddFlow(residual, t, t + network.RowStride, toNorth, network.Columns);
        if (sheet > 0) AddFlow(residual, t, t - network.SheetStride, toAbove, network.Columns);
        if (sheet + 1 < network.Sheets) AddFlow(residual, t, t + network.SheetStride, toBelow, network.Columns);
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private static void AddFlow<TRow>(double* residual, double* t, double* other, TRow conductance, int columns)
        where TRow : struct, IConductanceRow
    {
        var x = 0;
        for (; x + 16 <= columns; x += 16)
        {
            var (low, high) = conductance.Sixteen(x);
            (Vector512.Load(residual + x) + (low * (Vector512.Load(other + x) - Vector512.Load(t + x)))).Store(residual + x);
            (Vector512.Load(residual + x + 8) + (high * (Vector512.Load(other + x + 8) - Vector512.Load(t + x + 8)))).Store(residual + x + 8);
        }

        for (; x < columns; x++) residual[x] += conductance[x] * (other[x] - t[x]);
    }
}
