using System.Runtime.CompilerServices;
using System.Runtime.Intrinsics;

namespace HeatSpread.Solver.Kernels;

/// <summary>
/// Exact solves of the vertical columns of one row, sixteen side by side. A column's matrix is tridiagonal with factor L D Lᵀ: <c>inverse[s]</c> is 1 / D
/// and <c>multiplier[s]</c> the conductance to the next sheet over D. Both are zero where there is no cell, so that absent cells stay at zero.
/// All arrays are one row: <c>sheets</c> runs of <c>half</c> floats, a multiple of 16. One sheet after the other from the first on, all that lies in memory far away being read on the way down: few
/// streams that go on without a break are seen coming by the processor, sheets from the last to the first are not.
/// </summary>
internal static unsafe class ColumnKernels
{
    /// <summary>W/K up to which a cell counts as tied to nothing: the reciprocal of much less is no number in single precision. On coarse levels eliminated columns leave such ones.</summary>
    public const float LeastPivot = 1e-37f;

    /// <summary>Columns side by side, of which the last sheet's right-hand sides are held on the stack until the next has used them; above the first sheet there are zeros.</summary>
    private const int Width = 1024;

    /// <summary>x = T⁻¹ (rhs + lateral sum); <paramref name="rhs"/> may be null for zero.</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    [SkipLocalsInit]
    public static void Relax<TRow>(float* x, float* rhs, RowStencil<TRow> n, float* inverse, float* multiplier, int sheets, int half)
        where TRow : struct, ILateralRow
    {
        TRow w = n.West, e = n.East, u = n.North, d = n.South;
        float* wv = n.WestValue, ev = n.EastValue, uv = n.NorthValue, dv = n.SouthValue;
        var unit = Vector512.Create(n.Unit);
        var above = stackalloc float[Math.Min(half, Width)];
        for (var from = 0; from < half; from += Width)
        {
            var width = Math.Min(Width, half - from);
            new Span<float>(above, width).Clear();
            for (int s = 0, start = from; s < sheets; s++, start += half)
            {
                var aboveMultiplier = multiplier + start - (s == 0 ? 0 : half);
                for (int h = 0, i = start; h < width; h += 16, i += 16)
                {
                    w.Prefetch(i);
                    e.Prefetch(i);
                    u.Prefetch(i);
                    d.Prefetch(i);
                    Prefetch.Beyond(inverse + i, multiplier + i);
                    if (rhs != null) Prefetch.Beyond(rhs + i);
                    var f = w.Sixteen(i) * Vector512.Load(wv + i);
                    var g = u.Sixteen(i) * Vector512.Load(uv + i);
                    f = Vector512.MultiplyAddEstimate(e.Sixteen(i), Vector512.Load(ev + i), f);
                    g = Vector512.MultiplyAddEstimate(d.Sixteen(i), Vector512.Load(dv + i), g);
                    f += g;
                    if (TRow.HasUnit) f = rhs != null ? Vector512.MultiplyAddEstimate(f, unit, Vector512.Load(rhs + i)) : f * unit;
                    else if (rhs != null) f += Vector512.Load(rhs + i);
                    f = Vector512.MultiplyAddEstimate(Vector512.Load(above + h), Vector512.Load(aboveMultiplier + h), f);
                    f.Store(above + h);
                    (f * Vector512.Load(inverse + i)).Store(x + i);
                }
            }

            BackSubstitute(x + from, multiplier + from, sheets, half, width);
        }
    }

    /// <summary>x = T⁻¹ (rhs + extra); <paramref name="extra"/> may be null for zero.</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    [SkipLocalsInit]
    public static void Solve(float* x, float* rhs, float* extra, float* inverse, float* multiplier, int sheets, int half)
    {
        var above = stackalloc float[Math.Min(half, Width)];
        for (var from = 0; from < half; from += Width)
        {
            var width = Math.Min(Width, half - from);
            new Span<float>(above, width).Clear();
            for (int s = 0, start = from; s < sheets; s++, start += half)
            {
                var aboveMultiplier = multiplier + start - (s == 0 ? 0 : half);
                for (int h = 0, i = start; h < width; h += 16, i += 16)
                {
                    Prefetch.Beyond(inverse + i, multiplier + i);
                    Prefetch.Beyond(rhs + i);
                    var f = Vector512.Load(rhs + i);
                    if (extra != null) f += Vector512.Load(extra + i);
                    f = Vector512.MultiplyAddEstimate(Vector512.Load(above + h), Vector512.Load(aboveMultiplier + h), f);
                    f.Store(above + h);
                    (f * Vector512.Load(inverse + i)).Store(x + i);
                }
            }

            BackSubstitute(x + from, multiplier + from, sheets, half, width);
        }
    }

    /// <summary>target = lateral sum + <paramref name="sign"/> × addend; <paramref name="addend"/> may be the target, or null for zero.</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    public static void LateralSum<TRow>(float* target, RowStencil<TRow> n, float* addend, float sign, int sheets, int half)
        where TRow : struct, ILateralRow
    {
        TRow w = n.West, e = n.East, u = n.North, d = n.South;
        float* wv = n.WestValue, ev = n.EastValue, uv = n.NorthValue, dv = n.SouthValue;
        var unit = Vector512.Create(n.Unit);
        var factor = Vector512.Create(sign);
        for (int i = 0, count = sheets * half; i < count; i += 16)
        {
            var f = w.Sixteen(i) * Vector512.Load(wv + i);
            var g = u.Sixteen(i) * Vector512.Load(uv + i);
            f = Vector512.MultiplyAddEstimate(e.Sixteen(i), Vector512.Load(ev + i), f);
            g = Vector512.MultiplyAddEstimate(d.Sixteen(i), Vector512.Load(dv + i), g);
            f += g;
            if (TRow.HasUnit) f *= unit;
            if (addend != null) f = Vector512.MultiplyAddEstimate(factor, Vector512.Load(addend + i), f);
            f.Store(target + i);
        }
    }

    /// <summary>x −= T⁻¹ lateral sum.</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    [SkipLocalsInit]
    public static void SubtractRelaxed<TRow>(float* x, RowStencil<TRow> n, float* inverse, float* multiplier, int sheets, int half)
        where TRow : struct, ILateralRow
    {
        TRow w = n.West, e = n.East, u = n.North, d = n.South;
        float* wv = n.WestValue, ev = n.EastValue, uv = n.NorthValue, dv = n.SouthValue;
        var unit = Vector512.Create(n.Unit);
        var column = stackalloc Vector512<float>[sheets];
        for (var h = 0; h < half; h += 16)
        {
            Vector512<float> carry = default, above = default;
            for (int s = 0, i = h; s < sheets; s++, i += half)
            {
                var f = w.Sixteen(i) * Vector512.Load(wv + i);
                var g = u.Sixteen(i) * Vector512.Load(uv + i);
                f = Vector512.MultiplyAddEstimate(e.Sixteen(i), Vector512.Load(ev + i), f);
                g = Vector512.MultiplyAddEstimate(d.Sixteen(i), Vector512.Load(dv + i), g);
                f += g;
                f = TRow.HasUnit ? Vector512.MultiplyAddEstimate(f, unit, carry) : f + carry;
                column[s] = f;
                carry = f * Vector512.Load(multiplier + i);
            }

            for (int s = sheets - 1, i = h + (s * half); s >= 0; s--, i -= half)
            {
                above = Vector512.MultiplyAddEstimate(Vector512.Load(multiplier + i), above, column[s] * Vector512.Load(inverse + i));
                (Vector512.Load(x + i) - above).Store(x + i);
            }
        }
    }

    /// <summary>
    /// Pivots of the columns from vertical conductances (which <paramref name="multiplier"/> holds at first), lateral ones and those to the sink. A pivot is
    /// what the cell conducts elsewhere (neighbours, sink, through the sheets above) plus the conductance to the next sheet: only sums of positive
    /// numbers appear, so no digits cancel (Grassmann, Taksar, Heyman 1985).
    /// </summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    public static void Factor(float* inverse, float* multiplier, float* sink, RowStencil n, int sheets, int half)
    {
        for (int i = 0, count = sheets * half; i < count; i += 16)
        {
            var elsewhere = Vector512.Load(sink + i) + (Vector512.Load(n.West + i) + Vector512.Load(n.East + i)) + (Vector512.Load(n.North + i) + Vector512.Load(n.South + i));
            // Until the next sheet has used it, the inverse's place holds what the cell conducts elsewhere.
            if (i >= half)
            {
                var above = Vector512.Load(inverse + i - half);
                var m = Vector512.Load(multiplier + i - half);
                var pivot = above + m;
                var inverted = Vector512.GreaterThan(pivot, Vector512.Create(LeastPivot)) & (Vector512<float>.One / pivot);
                m *= inverted;
                elsewhere += m * above;
                m.Store(multiplier + i - half);
                inverted.Store(inverse + i - half);
            }

            elsewhere.Store(inverse + i);
        }

        for (int i = (sheets - 1) * half, count = sheets * half; i < count; i += 16)
        {
            var pivot = Vector512.Load(inverse + i);
            (Vector512.GreaterThan(pivot, Vector512.Create(LeastPivot)) & (Vector512<float>.One / pivot)).Store(inverse + i);
            Vector512<float>.Zero.Store(multiplier + i);
        }
    }

    /// <summary>From what the columns would be with nothing below each sheet.</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private static void BackSubstitute(float* x, float* multiplier, int sheets, int half, int width)
    {
        for (var start = (sheets - 2) * half; start >= 0; start -= half)
        {
            for (int i = start, end = start + width; i < end; i += 16)
                Vector512.MultiplyAddEstimate(Vector512.Load(multiplier + i), Vector512.Load(x + i + half), Vector512.Load(x + i)).Store(x + i);
        }
    }
}
