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
    /// <param name="heat">Of all unknowns; null where the row has none, and then it is not read.</param>
    /// <param name="temperature">Of all unknowns.</param>
    /// <param name="offset">By which all temperatures are higher yet; at links to the sink alone it counts.</param>
    /// <param name="sheet">Sheet.</param>
    /// <param name="row">Row.</param>
    /// <param name="residual">Filled.</param>
    public static void Row(Conductances network, double* heat, double* temperature, double offset, int sheet, int row, double* residual)
    {
        int start = (sheet * network.SheetStride) + (row * network.RowStride);
        // Links to the cells before are held by these. Where there is no neighbour the cell itself stands for it: no difference, no flow.
        int south = row > 0 ? start - network.RowStride : start, north = row + 1 < network.Rows ? start + network.RowStride : start;
        int above = sheet > 0 ? start - network.SheetStride : start, below = sheet + 1 < network.Sheets ? start + network.SheetStride : start;
        var t = new Neighbourhood(temperature + start, temperature + south, temperature + north, temperature + above, temperature + below);
        if (network.Exact is { } exact)
        {
            fixed (double* east = &exact.East[start], toNorth = &exact.North[start], toSouth = &exact.North[south], toBelow = &exact.Below[start], toAbove = &exact.Below[above])
                FromNeighbours(residual, heat == null ? null : heat + start, t, new DoubleRow(east), new DoubleRow(east - 1), new DoubleRow(toSouth), new DoubleRow(toNorth), new DoubleRow(toAbove), new DoubleRow(toBelow), network.Columns);
        }
        else
        {
            fixed (float* east = &network.East[start], toNorth = &network.North[start], toSouth = &network.North[south], toBelow = &network.Below[start], toAbove = &network.Below[above])
                FromNeighbours(residual, heat == null ? null : heat + start, t, new SingleRow(east), new SingleRow(east - 1), new SingleRow(toSouth), new SingleRow(toNorth), new SingleRow(toAbove), new SingleRow(toBelow), network.Columns);
        }

        SubtractSink(network, temperature, offset, sheet, row, residual);
    }

    /// <summary>residual −= conductances to the sink × (temperature + offset), of one row of one sheet. With none, as inside most boards, nothing is read.</summary>
    public static void SubtractSink(Conductances network, double* temperature, double offset, int sheet, int row, double* residual)
    {
        if (!network.HasSink(sheet, row)) return;
        int start = (sheet * network.SheetStride) + (row * network.RowStride);
        if (network.Exact is { } exact)
        {
            fixed (double* sink = &exact.ToSink[start]) SubtractSink(residual, temperature + start, offset, new DoubleRow(sink), network.Columns);
            return;
        }

        fixed (float* sink = &network.ToSink[start]) SubtractSink(residual, temperature + start, offset, new SingleRow(sink), network.Columns);
    }

    /// <summary>Temperatures of a row and of those around it.</summary>
    private readonly struct Neighbourhood(double* own, double* south, double* north, double* above, double* below)
    {
        public readonly double* Own = own, South = south, North = north, Above = above, Below = below;
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private static void SubtractSink<TRow>(double* residual, double* t, double offset, TRow sink, int columns)
        where TRow : struct, IConductanceRow
    {
        var raised = Vector512.Create(offset);
        var x = 0;
        for (; x + 8 <= columns; x += 8) (Vector512.Load(residual + x) - (sink.Eight(x) * (Vector512.Load(t + x) + raised))).Store(residual + x);

        for (; x < columns; x++) residual[x] -= sink[x] * (t[x] + offset);
    }

    /// <summary>heat and what flows in from the neighbours, all terms of a cell at once: one after the other along the row, each would load and store the residual again.</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private static void FromNeighbours<TRow>(double* residual, double* heat, Neighbourhood t, TRow east, TRow west, TRow toSouth, TRow toNorth, TRow toAbove, TRow toBelow, int columns)
        where TRow : struct, IConductanceRow
    {
        double* own = t.Own, south = t.South, north = t.North, above = t.Above, below = t.Below;
        double Across(int x) => (toSouth[x] * (south[x] - own[x])) + (toNorth[x] * (north[x] - own[x])) + (toAbove[x] * (above[x] - own[x])) + (toBelow[x] * (below[x] - own[x]));
        residual[0] = (heat != null ? heat[0] : 0) + (columns > 1 ? east[0] * (own[1] - own[0]) : 0) + Across(0);
        var x = 1;
        // Eight at a time and each read where it is used: with more, sixteen registers of 256 bits would not hold what lies between.
        for (; x + 9 <= columns; x += 8)
        {
            // The other rows of temperatures were read before this one, and of heat there is little.
            Prefetch.Beyond(north + x);
            east.Prefetch(x);
            toNorth.Prefetch(x);
            toBelow.Prefetch(x);
            var t0 = Vector512.Load(own + x);
            var f = (east.Eight(x) * (Vector512.Load(own + x + 1) - t0)) + (west.Eight(x) * (Vector512.Load(own + x - 1) - t0));
            var g = (toSouth.Eight(x) * (Vector512.Load(south + x) - t0)) + (toNorth.Eight(x) * (Vector512.Load(north + x) - t0));
            g = g + (toAbove.Eight(x) * (Vector512.Load(above + x) - t0)) + (toBelow.Eight(x) * (Vector512.Load(below + x) - t0));
            if (heat != null) f += Vector512.Load(heat + x);
            (f + g).Store(residual + x);
        }

        for (; x < columns; x++)
            residual[x] = (heat != null ? heat[x] : 0) + (x + 1 < columns ? east[x] * (own[x + 1] - own[x]) : 0) + (west[x] * (own[x - 1] - own[x])) + Across(x);
    }

    /// <summary>What flows to the sink from the cells of one row of one sheet.</summary>
    public static double FlowToSink(Conductances network, double* temperature, int sheet, int row)
    {
        if (!network.HasSink(sheet, row)) return 0;
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
            low += sink.Eight(x) * Vector512.Load(t + x);
            high += sink.Eight(x + 8) * Vector512.Load(t + x + 8);
        }

        var sum = Vector512.Sum(low + high);
        for (; x < columns; x++) sum += sink[x] * t[x];
        return sum;
    }
}
