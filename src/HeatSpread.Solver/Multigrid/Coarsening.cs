using System.Runtime.CompilerServices;
using System.Runtime.Intrinsics;

namespace HeatSpread.Solver.Multigrid;

/// <summary>
/// From a level (still holding vertical conductances, not factors) to the network of the next coarser one, half as wide in x and y.
/// Weights follow Dendy's black box multigrid (J. Comput. Phys. 48, 1982): a column between two coarse columns takes the values that hold it in
/// balance with them alone. Here whole columns are solved, so that a laminate sheet follows the copper above and below it. The coarse network is the
/// Galerkin product, with couplings to diagonal neighbours folded onto the axes (exact for linear fields), so that it is a 7-point network again.
/// </summary>
internal static unsafe class Coarsening
{
    /// <summary>
    /// A via's barrel between coarse columns ties copper planes that its surroundings in another sheet, a strip of copper beside it say, do not follow. Weights of one sheet
    /// alone cannot say so: the coarse network would tie the strip to the planes through the barrel, many times too firmly. What passes a cut through the column
    /// is no more than what the column's sheets can take from their neighbours on either side of the cut; beyond what the coarse columns beside it have, a vertical conductance
    /// counts at most this many times that much. (From 4 to 10 iterations are the same, below 2 they grow.)
    /// </summary>
    private const float BarrelReach = 6;

    /// <summary>Weights of the black columns of one row, and their vertical conductances as the coarse network is to see them.</summary>
    /// <param name="level">The level.</param>
    /// <param name="row">One of its rows.</param>
    /// <param name="tiny">Decides where a column has no lateral conductance at all.</param>
    /// <param name="reach">Black vertical conductances, those of barrels limited.</param>
    [SkipLocalsInit]
    public static void Weights(Level level, int row, float tiny, float* reach)
    {
        var shape = level.Shape;
        int start = shape.RowStart(row), sheets = shape.Sheets, half = shape.Half;
        float* weight = level.Weight.Pointer + start, vertical = level.Multiplier[1].Pointer + start;
        var n = level.Row(1, row, null);
        var alongX = (row & 1) == 0;
        float* near = alongX ? n.West : n.South, far = alongX ? n.East : n.North;
        var y = stackalloc Vector512<float>[sheets];
        var inverse = stackalloc Vector512<float>[sheets];
        var above = stackalloc Vector512<float>[sheets];
        reach += start;
        float* nearCoarse = level.Multiplier[0].Pointer + (alongX ? start : start - shape.RowStride), farCoarse = level.Multiplier[0].Pointer + (alongX ? start + 1 : start + shape.RowStride);
        for (var h = 0; h < half; h += Shape.Lanes)
        {
            var hasFar = alongX ? Vector512.LessThan(Vector512.CreateSequence((float)h, 1f), Vector512.Create(shape.CoarseColumns - 1.5f)) : row + 1 < shape.Rows ? Vector512<float>.AllBitsSet : Vector512<float>.Zero;
            var tinyFar = hasFar & Vector512.Create(tiny);
            Vector512<float> fromAbove = default, carry = default;
            for (int s = 0, i = h; s < sheets; s++, i += half)
            {
                var a = Vector512.Load(near + i) + Vector512.Create(tiny);
                var elsewhere = fromAbove + a + Vector512.Load(far + i) + tinyFar;
                above[s] = elsewhere;
                var v = Vector512.Load(vertical + i);
                inverse[s] = Vector512<float>.One / (elsewhere + v);
                y[s] = a + carry;
                var m = v * inverse[s];
                fromAbove = m * elsewhere;
                carry = m * y[s];
            }

            Vector512<float> x = default, below = default;
            for (int s = sheets - 1, i = h + (s * half); s >= 0; s--, i -= half)
            {
                var v = Vector512.Load(vertical + i);
                x = (y[s] + v * x) * inverse[s];
                below = InSeries(below, v);
                Reach(v, InSeries(above[s], below), Vector512.Max(Vector512.Load(nearCoarse + i), Vector512.Load(farCoarse + i))).Store(reach + i);
                below += Vector512.Load(near + i) + Vector512.Load(far + i);
                Vector512.ConditionalSelect(hasFar, Vector512.Min(x, Vector512<float>.One), Vector512<float>.One).Store(weight + i);
            }
        }
    }

    /// <summary>A column's vertical conductance as the coarse network is to see it.</summary>
    /// <param name="vertical">As it is.</param>
    /// <param name="cut">In series with what the sheets above and below take from their neighbours.</param>
    /// <param name="coarse">Greatest one of the coarse columns around.</param>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Vector512<float> Reach(Vector512<float> vertical, Vector512<float> cut, Vector512<float> coarse) =>
        Vector512.Min(vertical, Vector512.Max(cut * BarrelReach, coarse));

    /// <summary>Two conductances in series; zero where either is.</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Vector512<float> InSeries(Vector512<float> a, Vector512<float> b)
    {
        var sum = a + b;
        return Vector512.GreaterThan(sum, Vector512<float>.Zero) & (a * (b / sum));
    }

    /// <summary>Coarse rows <paramref name="from"/> to <paramref name="to"/> (exclusive) of the coarse network.</summary>
    /// <param name="level">The fine level, with its weights.</param>
    /// <param name="sink">Its conductances to the sink, by colour.</param>
    /// <param name="coarse">Filled; its rows are runs of the fine level's <see cref="Shape.Half"/>.</param>
    /// <param name="from">First coarse row.</param>
    /// <param name="to">Behind the last.</param>
    public static void Galerkin(Level level, AlignedFloats[] sink, Conductances coarse, int from, int to)
    {
        PatchRow below = new(level.Shape), above = new(level.Shape);
        if (from > 0) above.Compute(level, sink, from - 1);
        for (var row = from; row < to; row++)
        {
            (below, above) = (above, below);
            above.Compute(level, sink, row);
            CombineRow(level, sink, coarse, row, below, above);
        }

        // The rows hold pointers into memory that they own.
        GC.KeepAlive(below);
        GC.KeepAlive(above);
    }

    private static void CombineRow(Level level, AlignedFloats[] sink, Conductances coarse, int row, PatchRow below, PatchRow above)
    {
        var shape = level.Shape;
        int half = shape.Half, fine = shape.RowStart(2 * row), to = row * coarse.RowStride;
        var northmost = row + 1 == coarse.Rows;
        for (var s = 0; s < shape.Sheets; s++)
        {
            int i = fine + (s * half), odd = i + shape.RowStride, under = i - shape.RowStride, p = Shape.Lanes + (s * half), at = to + (s * half);
            bool last = s + 1 == shape.Sheets;
            float* v0 = level.Multiplier[0].Pointer, v1 = level.Multiplier[1].Pointer, k0 = sink[0].Pointer, k1 = sink[1].Pointer, w = level.Weight.Pointer;
            for (var h = 0; h < shape.CoarseColumns; h++)
            {
                float a = w[i + h], aWest = w[i + h - 1], b = w[odd + h], bSouth = row > 0 ? w[under + h] : 1;
                float east = level.East.Pointer[i + h] * (1 - a) * (1 - a) + level.West.Pointer[i + h + 1] * a * a;
                // Of the last coarse row there may be no memory so far north.
                float north = northmost ? 0 : level.North.Pointer[i + h] * (1 - b) * (1 - b) + level.South.Pointer[odd + shape.RowStride + h] * b * b;
                if (s > 0) { east += Shear(v1, w, i + h - half, half); north += Shear(v1, w, odd + h - half, half); }
                if (!last) { east += Shear(v1, w, i + h, half); north += Shear(v1, w, odd + h, half); }
                coarse.East[at + h] = Math.Max(0, h + 1 < shape.CoarseColumns ? east + above.East[0][p + h] + below.East[1][p + h] : 0);
                coarse.North[at + h] = Math.Max(0, !northmost ? north + above.North[0][p + h] + above.North[1][p + h - 1] : 0);
                coarse.ToSink[at + h] = k0[i + h] + a * k1[i + h] + (1 - aWest) * k1[i + h - 1] + b * k1[odd + h] + (1 - bSouth) * k1[under + h]
                    + above.Sink[0][p + h] + above.Sink[1][p + h - 1] + below.Sink[2][p + h] + below.Sink[3][p + h - 1];
                if (last) continue;
                float aNext = w[i + h + half], aWestNext = w[i + h - 1 + half], bNext = w[odd + h + half], bSouthNext = row > 0 ? w[under + h + half] : 1;
                coarse.Below[at + h] = v0[i + h] + 0.5f * ((a + aNext) * v1[i + h] + (2 - aWest - aWestNext) * v1[i + h - 1] + (b + bNext) * v1[odd + h] + (2 - bSouth - bSouthNext) * v1[under + h])
                    + above.Below[0][p + h] + above.Below[1][p + h - 1] + below.Below[2][p + h] + below.Below[3][p + h - 1];
            }
        }
    }

    /// <summary>Half the lateral conductance that a vertical one makes where the weights of its two ends differ.</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static float Shear(float* vertical, float* weight, int i, int half)
    {
        var d = weight[i] - weight[i + half];
        return 0.5f * vertical[i] * d * d;
    }
}
