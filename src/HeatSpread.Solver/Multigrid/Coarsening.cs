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
    /// counts at most this many times that much. (From 4 to 6 iterations are the same, but for one or two; with 10 they are one more, below 2 they grow.)
    /// </summary>
    public const float BarrelReach = 4.5f;

    /// <summary>Weights of the black columns of one row, and their vertical conductances as the coarse network is to see them.</summary>
    /// <param name="level">The level.</param>
    /// <param name="row">One of its rows.</param>
    /// <param name="tiny">Decides where a column has no lateral conductance at all.</param>
    /// <param name="reach">Black vertical conductances, those of barrels limited.</param>
    [SkipLocalsInit]
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    public static void Weights(Level level, int row, float tiny, AlignedFloats reach)
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
        foreach (var floats in (ReadOnlySpan<AlignedFloats>)[level.Weight, reach]) shape.RowEnd(floats, row).Clear();
        float* nearCoarse = level.Multiplier[0].Pointer + (alongX ? start : start - shape.RowStride), farCoarse = level.Multiplier[0].Pointer + (alongX ? start + 1 : start + shape.RowStride);
        var lanes = Lanes();
        for (var h = 0; h < half; h += Shape.Lanes)
        {
            var hasFar = alongX ? Vector512.LessThan(lanes, Vector512.Create(shape.CoarseColumns - 1.5f - h)) : row + 1 < shape.Rows ? Vector512<float>.AllBitsSet : Vector512<float>.Zero;
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
                Reach(v, InSeries(above[s], below), Vector512.Max(Vector512.Load(nearCoarse + i), Vector512.Load(farCoarse + i))).Store(reach.Pointer + start + i);
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
    /// <param name="pool">Scratch.</param>
    public static void Galerkin(Level level, AlignedFloats[] sink, Conductances coarse, int from, int to, ScratchPool pool)
    {
        using PatchRow first = new(level.Shape, pool), second = new(level.Shape, pool);
        var (below, above) = (first, second);
        if (from > 0) above.Compute(level, sink, from - 1);
        for (var row = from; row < to; row++)
        {
            (below, above) = (above, below);
            above.Compute(level, sink, row);
            CombineRow(level, sink, coarse, row, below, above);
        }
    }

    /// <summary>Adds up what reaches one coarse row: the coarse columns themselves, the black columns around them, the patches south and north. Absent rows hold zeros.</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private static void CombineRow(Level level, AlignedFloats[] sink, Conductances coarse, int row, PatchRow below, PatchRow above)
    {
        var shape = level.Shape;
        int half = shape.Half, stride = shape.RowStride;
        // Of the last coarse row there may be no memory so far north.
        var northmost = row + 1 == coarse.Rows;
        float* v0 = level.Multiplier[0].Pointer, v1 = level.Multiplier[1].Pointer, k0 = sink[0].Pointer, k1 = sink[1].Pointer, w = level.Weight.Pointer;
        fixed (float* east = coarse.East, north = coarse.North, vertical = coarse.Below, toSink = coarse.ToSink)
        {
            Vector512<float> one = Vector512<float>.One, zero = Vector512<float>.Zero, lanes = Lanes();
            for (var s = 0; s < shape.Sheets; s++)
            {
                int fine = shape.RowStart(2 * row) + (s * half), patch = Shape.Lanes + (s * half), to = (row * coarse.RowStride) + (s * half);
                var last = s + 1 == shape.Sheets;
                for (var h = 0; h < half; h += Shape.Lanes)
                {
                    int i = fine + h, odd = i + stride, under = i - stride, p = patch + h, at = to + h;
                    Vector512<float> a = Vector512.Load(w + i), aWest = one - Vector512.Load(w + i - 1), b = Vector512.Load(w + odd), bSouth = one - Vector512.Load(w + under);
                    var along = Between(level.East.Pointer + i, one - a, level.West.Pointer + i + 1, a) + Vector512.Load(above.East[0] + p) + Vector512.Load(below.East[1] + p);
                    var across = northmost ? zero : Between(level.North.Pointer + i, one - b, level.South.Pointer + odd + stride, b) + Vector512.Load(above.North[0] + p) + Vector512.Load(above.North[1] + p - 1);
                    if (s > 0) (along, across) = (along + Shear(v1, w, i - half, half), across + Shear(v1, w, odd - half, half));
                    if (!last) (along, across) = (along + Shear(v1, w, i, half), across + Shear(v1, w, odd, half));
                    var hasEast = Vector512.LessThan(lanes, Vector512.Create(shape.CoarseColumns - 1.5f - h));
                    (hasEast & Vector512.Max(zero, along)).Store(east + at);
                    (northmost ? zero : Vector512.Max(zero, across)).Store(north + at);
                    var atSink = Vector512.Load(k0 + i) + a * Vector512.Load(k1 + i) + aWest * Vector512.Load(k1 + i - 1) + b * Vector512.Load(k1 + odd) + bSouth * Vector512.Load(k1 + under);
                    (atSink + Around(above.Sink, below.Sink, p)).Store(toSink + at);
                    if (last)
                    {
                        zero.Store(vertical + at);
                        continue;
                    }

                    Vector512<float> aNext = Vector512.Load(w + i + half), aWestNext = one - Vector512.Load(w + i + half - 1), bNext = Vector512.Load(w + odd + half), bSouthNext = one - Vector512.Load(w + under + half);
                    var black = (a + aNext) * Vector512.Load(v1 + i) + (aWest + aWestNext) * Vector512.Load(v1 + i - 1) + (b + bNext) * Vector512.Load(v1 + odd) + (bSouth + bSouthNext) * Vector512.Load(v1 + under);
                    (Vector512.Load(v0 + i) + 0.5f * black + Around(above.Below, below.Below, p)).Store(vertical + at);
                }
            }
        }
    }

    /// <summary>0, 1, 2 and so on. Not to be made within a loop: without AVX-512 it is made one number after the other.</summary>
    private static Vector512<float> Lanes() => Vector512.CreateSequence(0f, 1f);

    /// <summary>Conductance between two coarse columns through the black one between them, which has these shares of the near and the far one.</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static Vector512<float> Between(float* near, Vector512<float> far, float* beyond, Vector512<float> share) => Vector512.Load(near) * far * far + Vector512.Load(beyond) * share * share;

    /// <summary>What the four patches around a coarse column give it.</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static Vector512<float> Around(float*[] above, float*[] below, int p) => Vector512.Load(above[0] + p) + Vector512.Load(above[1] + p - 1) + Vector512.Load(below[2] + p) + Vector512.Load(below[3] + p - 1);

    /// <summary>Half the lateral conductance that a vertical one makes where the weights of its two ends differ.</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static Vector512<float> Shear(float* vertical, float* weight, int i, int half)
    {
        var d = Vector512.Load(weight + i) - Vector512.Load(weight + i + half);
        return 0.5f * Vector512.Load(vertical + i) * d * d;
    }
}
