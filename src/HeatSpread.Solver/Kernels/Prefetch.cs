using System.Runtime.CompilerServices;
using System.Runtime.Intrinsics.X86;

namespace HeatSpread.Solver.Kernels;

/// <summary>
/// Asks the caches for what a loop will read some steps later. A pass reads some ten arrays side by side, more than some processors seem to foresee by themselves. What lies
/// behind an array's end may be asked for as well: nothing is read. Nothing is done where the processor has no such instruction.
/// </summary>
internal static unsafe class Prefetch
{
    /// <summary>Bytes from what is read now: eight lines of cache. Four to eight were equally good on a processor without AVX-512, eight best on one with it; two, sixteen and more gained less on both.</summary>
    private const int Distance = 512;

    /// <summary>What is <see cref="Distance"/> behind what is read now.</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static void Beyond(void* now)
    {
        if (Sse.IsSupported) Sse.Prefetch0((byte*)now + Distance);
    }

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static void Beyond(void* a, void* b)
    {
        Beyond(a);
        Beyond(b);
    }

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static void Beyond(void* a, void* b, void* c, void* d)
    {
        Beyond(a, b);
        Beyond(c, d);
    }
}
