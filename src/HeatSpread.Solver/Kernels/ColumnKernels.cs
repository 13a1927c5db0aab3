using System.Runtime.CompilerServices;
using System.Runtime.Intrinsics;

namespace HeatSpread.Solver.Kernels;

/// <summary>
/// Exact solves of vertical columns, sixteen side by side. A column's matrix is tridiagonal with factor L D Lᵀ: <c>inverse[s]</c> is 1 / D and
/// <c>multiplier[s]</c> the conductance to the next sheet over D. Both are zero where there is no cell, so that absent cells stay at zero.
/// All arrays are one row: <c>sheets</c> runs of <c>half</c> floats, a multiple of 16.
/// </summary>
internal static unsafe class ColumnKernels
{
    /// <summary>x = T⁻¹ (rhs + lateral sum); <paramref name="rhs"/> may be null for zero.</summary>
    [SkipLocalsInit]
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    public static void Relax(float* x, float* rhs, in RowStencil n, float* inverse, float* multiplier, int sheets, int half)
    {
        var y = stackalloc Vector512<float>[sheets];
        for (var h = 0; h < half; h += 16)
        {
            var carry = Vector512<float>.Zero;
            for (int s = 0, i = h; s < sheets; s++, i += half)
            {
                var f = Lateral(n, i);
                if (rhs != null) f += Vector512.Load(rhs + i);
                f += carry;
                y[s] = f;
                carry = f * Vector512.Load(multiplier + i);
            }

            BackSubstitute(x, y, inverse, multiplier, sheets, half, h);
        }
    }

    /// <summary>x = T⁻¹ (rhs + extra); <paramref name="extra"/> may be null for zero.</summary>
    [SkipLocalsInit]
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    public static void Solve(float* x, float* rhs, float* extra, float* inverse, float* multiplier, int sheets, int half)
    {
        var y = stackalloc Vector512<float>[sheets];
        for (var h = 0; h < half; h += 16)
        {
            var carry = Vector512<float>.Zero;
            for (int s = 0, i = h; s < sheets; s++, i += half)
            {
                var f = Vector512.Load(rhs + i) + carry;
                if (extra != null) f += Vector512.Load(extra + i);
                y[s] = f;
                carry = f * Vector512.Load(multiplier + i);
            }

            BackSubstitute(x, y, inverse, multiplier, sheets, half, h);
        }
    }

    /// <summary>target = lateral sum + <paramref name="sign"/> target.</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    public static void LateralSum(float* target, in RowStencil n, float sign, int sheets, int half)
    {
        var factor = Vector512.Create(sign);
        for (int i = 0, count = sheets * half; i < count; i += 16)
        {
            var f = Lateral(n, i);
            if (sign != 0) f += factor * Vector512.Load(target + i);
            f.Store(target + i);
        }
    }

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static Vector512<float> Lateral(in RowStencil n, int i)
    {
        var a = Vector512.Load(n.West + i) * Vector512.Load(n.WestValue + i);
        var b = Vector512.Load(n.North + i) * Vector512.Load(n.NorthValue + i);
        a = Vector512.MultiplyAddEstimate(Vector512.Load(n.East + i), Vector512.Load(n.EastValue + i), a);
        b = Vector512.MultiplyAddEstimate(Vector512.Load(n.South + i), Vector512.Load(n.SouthValue + i), b);
        return a + b;
    }

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static void BackSubstitute(float* x, Vector512<float>* y, float* inverse, float* multiplier, int sheets, int half, int h)
    {
        var above = Vector512<float>.Zero;
        for (int s = sheets - 1, i = h + ((sheets - 1) * half); s >= 0; s--, i -= half)
        {
            above = Vector512.MultiplyAddEstimate(Vector512.Load(multiplier + i), above, y[s] * Vector512.Load(inverse + i));
            above.Store(x + i);
        }
    }
}
