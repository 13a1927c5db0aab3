using System.Runtime.CompilerServices;
using System.Runtime.Intrinsics;

namespace HeatSpread.Solver.Kernels;

/// <summary>Lateral conductances of a row of one colour, however they are held, as the kernels in single precision read them.</summary>
internal interface ILateralRow
{
    /// <summary>Asks the caches for those that will be read soon where sixteen from <paramref name="i"/> on are read now.</summary>
    void Prefetch(int i);

    /// <summary>Whether they are held over the stencil's unit, so that sums of products are to be multiplied by it.</summary>
    static abstract bool HasUnit { get; }

    /// <summary>Sixteen from <paramref name="i"/> on, in the unit.</summary>
    Vector512<float> Sixteen(int i);
}

/// <summary>As they are, in single precision.</summary>
internal readonly unsafe struct FullRow(float* conductance) : ILateralRow
{
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public void Prefetch(int i) => Kernels.Prefetch.Beyond(conductance + i);

    public static bool HasUnit => false;

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public Vector512<float> Sixteen(int i) => Vector512.Load(conductance + i);
}

/// <summary>
/// In 16 bits: of the conductance over a unit, a power of two greater than all, the last seven bits of a single-precision number's exponent and the first nine of its mantissa. There is no sign, and no number is above 1, so these
/// sixteen bits, moved to their place, are a number in single precision, zero among them, and its product with the unit is exact.
/// </summary>
internal readonly unsafe struct CompactRow(ushort* conductance) : ILateralRow
{
    /// <summary>Binary orders of magnitude from the least to the greatest, zero aside.</summary>
    public const int Orders = 120;

    /// <summary>The greatest conductance over the unit is from two to this power to twice that.</summary>
    public const int GreatestExponent = -1;

    /// <summary>Bits of the mantissa in single precision that are left out.</summary>
    private const int DroppedBits = 14;

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public void Prefetch(int i)
    {
        // Two times sixteen lie on one line of cache.
        if ((i & 16) == 0) Kernels.Prefetch.Beyond(conductance + i);
    }

    public static bool HasUnit => true;

    // Not put together from two halves, which would stay two with AVX-512: that took a tenth of a solve and more.
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public Vector512<float> Sixteen(int i) => (Vector512.WidenLower(Vector256.Load(conductance + i).ToVector512Unsafe()) << DroppedBits).AsSingle();

    /// <summary>Rounds conductances to what 16 bits hold, 2^-10 of each at most.</summary>
    /// <param name="conductance">W/K, 0 or within <see cref="Orders"/> of the greatest; rounded.</param>
    /// <param name="compact">Filled.</param>
    /// <param name="unit">W/K, a power of two.</param>
    /// <param name="length">Of both, a multiple of 16.</param>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    public static void Round(float* conductance, ushort* compact, float unit, int length)
    {
        Vector256<uint> halfStep = Vector256.Create(1u << (DroppedBits - 1));
        Vector256<float> units = Vector256.Create(unit), inverse = Vector256.Create(1 / unit);
        for (var i = 0; i < length; i += 16)
        {
            var low = ((Vector256.Load(conductance + i) * inverse).AsUInt32() + halfStep) >>> DroppedBits;
            var high = ((Vector256.Load(conductance + i + 8) * inverse).AsUInt32() + halfStep) >>> DroppedBits;
            Vector256.Narrow(low, high).Store(compact + i);
            ((low << DroppedBits).AsSingle() * units).Store(conductance + i);
            ((high << DroppedBits).AsSingle() * units).Store(conductance + i + 8);
        }
    }
}
