using System.Runtime.InteropServices;

namespace HeatSpread.Solver.Multigrid;

/// <summary>An array of floats that the collector neither moves nor frees while this object is referenced; zero at first, starting at a cache line.</summary>
internal sealed unsafe class AlignedFloats
{
    private const int LineFloats = 16;

    /// <summary>Sixteen different starts within 4096 bytes.</summary>
    private const int SkewFloats = 64;
    private readonly float[] _owner;

    /// <param name="length">Floats.</param>
    /// <param name="skew">
    /// 0 to 15, different for arrays that are read together: large arrays all start at the same place of a memory page, and a cache that finds its
    /// line by that place can hold eight of them only.
    /// </param>
    public AlignedFloats(int length, int skew = 0)
    {
        _owner = GC.AllocateArray<float>(length + LineFloats + (skew * SkewFloats), pinned: true);
        var start = (nuint)((float*)Marshal.UnsafeAddrOfPinnedArrayElement(_owner, 0) + (skew * SkewFloats));
        Pointer = (float*)((start + 63) & ~(nuint)63);
        Length = length;
    }

    public float* Pointer { get; }

    public int Length { get; }

    public Span<float> Span => new(Pointer, Length);
}
