using System.Runtime.CompilerServices;
using System.Runtime.Intrinsics;
using System.Runtime.Intrinsics.X86;

namespace HeatSpread.Solver.Kernels;

/// <summary>
/// Asks the caches for what a loop will read some steps later. A pass reads more arrays side by side than processors foresee by themselves, and each of them breaks off at every page of memory. What lies
/// behind an array's end may be asked for as well: nothing is read. Nothing is done where the processor has no such instruction, nor where it has vectors of 512 bits: on
/// such a one, tried with greater distances, solves took longer by it.
/// </summary>
internal static unsafe class Prefetch
{
    /// <summary>Bytes from what is read now: eight lines of cache. Four to eight were equally good, two, sixteen and more less so.</summary>
    private const int Distance = 512;

    /// <summary>What is <see cref="Distance"/> behind what is read now.</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static void Beyond(void* now) => At((byte*)now + Distance);

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

    /// <summary>The line that holds a place.</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static void At(void* place)
    {
        if (Sse.IsSupported && !Vector512.IsHardwareAccelerated) Sse.Prefetch0(place);
    }

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static void At(void* a, void* b, void* c, void* d)
    {
        At(a);
        At(b);
        At(c);
        At(d);
    }
}
