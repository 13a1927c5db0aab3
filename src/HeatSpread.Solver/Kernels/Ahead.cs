using System.Runtime.CompilerServices;
using System.Runtime.Intrinsics.X86;

namespace HeatSpread.Solver.Kernels;

/// <summary>
/// Asks the caches for what a loop will read some steps later. A pass reads more arrays side by side than processors foresee by themselves, and each of them breaks off at every page of memory. What lies
/// behind an array's end may be asked for as well: nothing is read. Without the instruction nothing is done.
/// </summary>
internal static unsafe class Ahead
{
    /// <summary>Bytes from what is read now: eight lines of cache. From four to sixteen were as good, farther ones worse.</summary>
    private const int Distance = 512;

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static void Fetch(void* now)
    {
        if (Sse.IsSupported) Sse.Prefetch0((byte*)now + Distance);
    }

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static void Fetch(void* a, void* b)
    {
        Fetch(a);
        Fetch(b);
    }

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static void Fetch(void* a, void* b, void* c, void* d)
    {
        Fetch(a, b);
        Fetch(c, d);
    }
}
