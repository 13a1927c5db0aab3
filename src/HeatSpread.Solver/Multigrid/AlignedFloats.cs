using System.Runtime.InteropServices;

namespace HeatSpread.Solver.Multigrid;

/// <summary>An array of floats that the collector neither moves nor frees while this object is referenced; zero at first, starting at a cache line.</summary>
internal sealed unsafe class AlignedFloats
{
    private const int LineFloats = 16;
    private readonly float[] _owner;

    public AlignedFloats(int length)
    {
        _owner = GC.AllocateArray<float>(length + LineFloats, pinned: true);
        var start = (nuint)(float*)Marshal.UnsafeAddrOfPinnedArrayElement(_owner, 0);
        Pointer = (float*)((start + 63) & ~(nuint)63);
        Length = length;
    }

    public float* Pointer { get; }

    public int Length { get; }

    public Span<float> Span => new(Pointer, Length);
}
