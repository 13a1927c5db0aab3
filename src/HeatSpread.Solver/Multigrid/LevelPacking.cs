using HeatSpread.Solver.Kernels;

namespace HeatSpread.Solver.Multigrid;

/// <summary>From a network in natural order to a level's arrays, and the factors of its columns.</summary>
internal static unsafe class LevelPacking
{
    /// <summary>Fills lateral conductances, and vertical ones into <see cref="Level.Multiplier"/>; conductances to the sink go to <paramref name="sink"/>, by colour.</summary>
    public static void Pack(Conductances source, Level level, AlignedFloats[] sink, int row)
    {
        var shape = level.Shape;
        int redParity = Shape.Parity(0, row), columns = shape.Columns;
        fixed (float* east = source.East, north = source.North, below = source.Below, toSink = source.ToSink)
        {
            for (var s = 0; s < shape.Sheets; s++)
            {
                long at = ((long)s * source.SheetStride) + ((long)row * source.RowStride);
                int to = shape.RowStart(row) + (s * shape.Half), even = redParity, odd = 1 - redParity;
                TransferKernels.Split(level.Multiplier[even].Pointer + to, level.Multiplier[odd].Pointer + to, below + at, columns);
                TransferKernels.Split(sink[even].Pointer + to, sink[odd].Pointer + to, toSink + at, columns);
                for (int h = 0, x = redParity; x < columns; h++, x += 2)
                {
                    if (x > 0) level.West.Pointer[to + h] = east[at + x - 1];
                    if (x + 1 < columns) level.East.Pointer[to + h] = east[at + x];
                    if (row + 1 < shape.Rows) level.North.Pointer[to + h] = north[at + x];
                    if (row > 0) level.South.Pointer[to + h] = north[at + x - source.RowStride];
                }
            }
        }
    }

    /// <summary>
    /// Factors the columns of one row and colour in place. Each pivot is what the column conducts to elsewhere (neighbours, sink, sheets above)
    /// plus the conductance to the next sheet; only sums of positive numbers appear, so no digits cancel (Grassmann, Taksar, Heyman 1985).
    /// </summary>
    public static void Factor(Level level, AlignedFloats sink, int color, int row)
    {
        var shape = level.Shape;
        int start = shape.RowStart(row), sheets = shape.Sheets, half = shape.Half;
        float* inverse = level.Inverse[color].Pointer + start, multiplier = level.Multiplier[color].Pointer + start, extra = sink.Pointer + start;
        var n = level.Row(color, row, null);
        for (var h = 0; h < half; h++)
        {
            var fromAbove = 0f;
            for (int s = 0, i = h; s < sheets; s++, i += half)
            {
                float elsewhere = fromAbove + extra[i] + n.West[i] + n.East[i] + n.North[i] + n.South[i], vertical = multiplier[i], pivot = elsewhere + vertical;
                inverse[i] = pivot > 0 ? 1 / pivot : 0;
                multiplier[i] = vertical * inverse[i];
                fromAbove = multiplier[i] * elsewhere;
            }
        }
    }
}
