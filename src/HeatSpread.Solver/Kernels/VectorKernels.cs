using System.Runtime.CompilerServices;
using System.Runtime.Intrinsics;

namespace HeatSpread.Solver.Kernels;

/// <summary>Loops over plain vectors whose length is a multiple of 16. Sums run in float over at most one row, in double beyond.</summary>
internal static unsafe class VectorKernels
{
    /// <summary>Σ a b.</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    public static double Dot(float* a, float* b, int length)
    {
        Vector512<float> sum = default, other = default;
        var i = 0;
        for (; i + 32 <= length; i += 32)
        {
            sum = Vector512.MultiplyAddEstimate(Vector512.Load(a + i), Vector512.Load(b + i), sum);
            other = Vector512.MultiplyAddEstimate(Vector512.Load(a + i + 16), Vector512.Load(b + i + 16), other);
        }

        if (i < length) sum = Vector512.MultiplyAddEstimate(Vector512.Load(a + i), Vector512.Load(b + i), sum);
        sum += other;
        var (low, high) = Vector512.Widen(sum);
        return Vector512.Sum(low + high);
    }

    /// <summary>y = x + factor y.</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    public static void ScaleAdd(float* y, float* x, float factor, int length)
    {
        var f = Vector512.Create(factor);
        for (var i = 0; i < length; i += 16) Vector512.MultiplyAddEstimate(f, Vector512.Load(y + i), Vector512.Load(x + i)).Store(y + i);
    }

    /// <summary>y += factor x.</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    public static void AddScaled(float* y, float* x, float factor, int length)
    {
        var f = Vector512.Create(factor);
        for (var i = 0; i < length; i += 16) Vector512.MultiplyAddEstimate(f, Vector512.Load(x + i), Vector512.Load(y + i)).Store(y + i);
    }

    /// <summary>y = x − y.</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    public static void SubtractFrom(float* y, float* x, int length)
    {
        for (var i = 0; i < length; i += 16) (Vector512.Load(x + i) - Vector512.Load(y + i)).Store(y + i);
    }
}
