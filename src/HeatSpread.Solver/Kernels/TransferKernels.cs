using System.Runtime.CompilerServices;
using System.Runtime.Intrinsics;

namespace HeatSpread.Solver.Kernels;

/// <summary>
/// Between a level and the next coarser one, one sheet of one row at a time. Coarse columns are the fine ones at even x and even y. A black column in
/// an even row lies between the coarse columns h and h + 1 of that row, one in an odd row between coarse rows; its weight is the share of the
/// western or southern one, the other has the rest. Red columns need no weights: their residual is zero and their values are relaxed next.
/// Runs are multiples of 16 long; empty places hold zero residuals.
/// </summary>
internal static unsafe class TransferKernels
{
    /// <summary>coarse = shares of the residuals of a black even row, of the odd row north of it (near share) and of the one south of it (far share).</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    public static void Restrict(float* coarse, float* residual, float* weight, int rowStride, int half)
    {
        for (var h = 0; h < half; h += 16)
        {
            Prefetch.Beyond(weight + h, weight + rowStride + h);
            Vector512<float> west = Vector512.Load(residual + h - 1), south = Vector512.Load(residual - rowStride + h);
            var sum = Vector512.Load(weight + h) * Vector512.Load(residual + h) + (west - Vector512.Load(weight + h - 1) * west);
            sum += Vector512.Load(weight + rowStride + h) * Vector512.Load(residual + rowStride + h) + (south - Vector512.Load(weight - rowStride + h) * south);
            sum.Store(coarse + h);
        }
    }

    /// <summary>x += weight × first + (1 − weight) × second.</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    public static void Prolong(float* x, float* weight, float* first, float* second, int half)
    {
        for (var h = 0; h < half; h += 16)
        {
            Prefetch.Beyond(weight + h, x + h);
            Vector512<float> far = Vector512.Load(second + h), change = Vector512.Load(weight + h) * (Vector512.Load(first + h) - far) + far;
            (Vector512.Load(x + h) + change).Store(x + h);
        }
    }

    /// <summary>Splits a row in natural order into its two colours.</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    public static void Split(float* even, float* odd, float* natural, int columns)
    {
        var x = 0;
        // In halves of what the other loops take: those would be narrowed one number after the other without AVX-512.
        for (; x + 16 <= columns; x += 16)
        {
            Vector256<ulong> a = Vector256.Load(natural + x).AsUInt64(), b = Vector256.Load(natural + x + 8).AsUInt64();
            Vector256.Narrow(a, b).AsSingle().Store(even + (x >> 1));
            Vector256.Narrow(a >>> 32, b >>> 32).AsSingle().Store(odd + (x >> 1));
        }

        for (; x < columns; x++) ((x & 1) == 0 ? even : odd)[x >> 1] = natural[x];
    }

    /// <summary>Joins the two colours of a row into natural order.</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    public static void Join(float* natural, float* even, float* odd, int columns)
    {
        var x = 0;
        for (; x + 32 <= columns; x += 32)
        {
            var (evenLow, evenHigh) = Vector512.Widen(Vector512.Load(even + (x >> 1)).AsUInt32());
            var (oddLow, oddHigh) = Vector512.Widen(Vector512.Load(odd + (x >> 1)).AsUInt32());
            (evenLow | (oddLow << 32)).AsSingle().Store(natural + x);
            (evenHigh | (oddHigh << 32)).AsSingle().Store(natural + x + 16);
        }

        for (; x < columns; x++) natural[x] = ((x & 1) == 0 ? even : odd)[x >> 1];
    }

    /// <summary>target += the two colours of a row, in natural order.</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    public static void AddJoined(double* target, float* even, float* odd, int columns)
    {
        var x = 0;
        for (; x + 32 <= columns; x += 32)
        {
            var (evenLow, evenHigh) = Vector512.Widen(Vector512.Load(even + (x >> 1)).AsUInt32());
            var (oddLow, oddHigh) = Vector512.Widen(Vector512.Load(odd + (x >> 1)).AsUInt32());
            Add(target + x, (evenLow | (oddLow << 32)).AsSingle());
            Add(target + x + 16, (evenHigh | (oddHigh << 32)).AsSingle());
        }

        for (; x < columns; x++) target[x] += ((x & 1) == 0 ? even : odd)[x >> 1];
    }

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static void Add(double* target, Vector512<float> values)
    {
        var (low, high) = Vector512.Widen(values);
        (Vector512.Load(target) + low).Store(target);
        (Vector512.Load(target + 8) + high).Store(target + 8);
    }

    /// <summary>Single-precision copy; returns the sum of squares in double.</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    public static double NarrowWithSquares(float* target, double* values, int count)
    {
        // In halves as in Split, for the same reason.
        Vector256<double> sum = default;
        var x = 0;
        for (; x + 8 <= count; x += 8)
        {
            Vector256<double> low = Vector256.Load(values + x), high = Vector256.Load(values + x + 4);
            sum += (low * low) + (high * high);
            Vector256.Narrow(low, high).Store(target + x);
        }

        var total = Vector256.Sum(sum);
        for (; x < count; x++)
        {
            target[x] = (float)values[x];
            total += values[x] * values[x];
        }

        return total;
    }
}
