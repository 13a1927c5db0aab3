using System.Runtime.InteropServices;

namespace HeatSpread.Solver.Multigrid;

/// <summary>An array of floats that the collector neither moves nor frees while this object is referenced, starting at a cache line.</summary>
internal sealed unsafe class AlignedFloats
{
    private const int LineFloats = 16;

    /// <summary>Sixteen different starts within 4096 bytes.</summary>
    private const int SkewFloats = 64;

    /// <summary>Zeros.</summary>
    /// <param name="length">Floats.</param>
    /// <param name="skew">
    /// 0 to 15, different for arrays that are read together: large arrays all start at the same place of a memory page, and a cache that finds its
    /// line by that place can hold eight of them only.
    /// </param>
    public AlignedFloats(int length, int skew = 0)
        : this(GC.AllocateArray<float>(OwnerLength(length, skew), pinned: true), length, skew)
    {
    }

    /// <param name="owner">A pinned array of at least <see cref="OwnerLength"/>, whatever is in it.</param>
    /// <param name="length">Floats.</param>
    /// <param name="skew">As above.</param>
    public AlignedFloats(float[] owner, int length, int skew)
    {
        Owner = owner;
        var start = (nuint)((float*)Marshal.UnsafeAddrOfPinnedArrayElement(Owner, 0) + (skew * SkewFloats));
        Pointer = (float*)((start + 63) & ~(nuint)63);
        Length = length;
    }

    public float[] Owner { get; }

    public float* Pointer { get; }

    public int Length { get; }

    public Span<float> Span => new(Pointer, Length);

    public static int OwnerLength(int length, int skew) => length + LineFloats + (skew * SkewFloats);
}
