using System.Runtime.CompilerServices;
using System.Runtime.Intrinsics;
using System.Runtime.Intrinsics.X86;

namespace HeatSpread.Solver.Kernels;

/// <summary>
/// Asks the caches for what a loop will read some steps later. A pass reads some ten arrays side by side, more than some processors seem to foresee by themselves. What lies
/// behind an array's end may be asked for as well: nothing is read. Nothing is done where the processor has no such instruction, nor where it has vectors of 512 bits: on
/// such a one, tried with greater distances, solves took longer by it.
/// </summary>
internal static unsafe class Prefetch
{
    /// <summary>Bytes from what is read now: eight lines of cache. Four to eight were equally good, two, sixteen and more less so.</summary>
    private const int Distance = 512;

    /// <summary>What is <see cref="Distance"/> behind what is read now.</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static void Beyond(void* now)
    {
        if (Sse.IsSupported && !Vector512.IsHardwareAccelerated) Sse.Prefetch0((byte*)now + Distance);
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
