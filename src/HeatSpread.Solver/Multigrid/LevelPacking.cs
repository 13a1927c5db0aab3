using System.Runtime.CompilerServices;
using HeatSpread.Solver.Kernels;

namespace HeatSpread.Solver.Multigrid;

/// <summary>From a network in natural order to a level's arrays, and the factors of its columns.</summary>
internal static unsafe class LevelPacking
{
    /// <summary>Fills lateral conductances, and vertical ones into <see cref="Level.Multiplier"/>; conductances to the sink go to <paramref name="sink"/>, by colour.</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    public static void Pack(Conductances source, Level level, AlignedFloats[] sink, int row)
    {
        var shape = level.Shape;
        // By colour: 0 holds the even x where the row's first red cell is at x = 0.
        int even = Shape.Parity(0, row), odd = 1 - even, columns = shape.Columns;
        // What the row's cells do not fill; at once, as its cache lines are about to be written anyway.
        foreach (var floats in (ReadOnlySpan<AlignedFloats>)[level.West, level.East, level.North, level.South, level.Multiplier[0], level.Multiplier[1], sink[0], sink[1]]) floats.Span.Slice(shape.RowStart(row), shape.RowStride).Clear();
        fixed (float* east = source.East, north = source.North, below = source.Below, toSink = source.ToSink)
        {
            for (var s = 0; s < shape.Sheets; s++)
            {
                int at = (s * source.SheetStride) + (row * source.RowStride), to = shape.RowStart(row) + (s * shape.Half);
                TransferKernels.Split(level.Multiplier[even].Pointer + to, level.Multiplier[odd].Pointer + to, below + at, columns);
                TransferKernels.Split(sink[even].Pointer + to, sink[odd].Pointer + to, toSink + at, columns);
                SplitRed(level.North.Pointer + to, north + at, columns, even == 0);
                if (row > 0) SplitRed(level.South.Pointer + to, north + at - source.RowStride, columns, even == 0);
                // What is east of a black cell is west of the next red one.
                float* redEast = level.East.Pointer + to, redWest = level.West.Pointer + to;
                if (even == 0) TransferKernels.Split(redEast, redWest + 1, east + at, columns);
                else TransferKernels.Split(redWest, redEast, east + at, columns);
            }
        }
    }

    /// <summary>Of the two colours only the red one, a stretch after the other, so that the other's place is small however long the row is.</summary>
    [SkipLocalsInit]
    private static void SplitRed(float* red, float* natural, int columns, bool redFirst)
    {
        const int stretch = 2048;
        var unused = stackalloc float[stretch / 2];
        for (var x = 0; x < columns; x += stretch, red += stretch / 2)
            TransferKernels.Split(redFirst ? red : unused, redFirst ? unused : red, natural + x, Math.Min(stretch, columns - x));
    }

    /// <summary>Factors the columns of one row and colour in place.</summary>
    public static void Factor(Level level, AlignedFloats sink, int color, int row)
    {
        var i = level.Shape.RowStart(row);
        ColumnKernels.Factor(level.Inverse[color].Pointer + i, level.Multiplier[color].Pointer + i, sink.Pointer + i, level.Row(color, row, null), level.Shape.Sheets, level.Shape.Half);
        level.Shape.RowEnd(level.Inverse[color], row).Clear();
    }
}
