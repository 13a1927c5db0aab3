using System.Runtime.CompilerServices;
using System.Runtime.Intrinsics;

namespace HeatSpread.Solver.Kernels;

/// <summary>Conductances of a row of cells, however they are held, as the kernels in double read them.</summary>
internal interface IConductanceRow
{
    double this[int x] { get; }

    /// <summary>Asks the caches for those that will be read soon where eight from <paramref name="x"/> on are read now.</summary>
    void Prefetch(int x);

    /// <summary>Eight from <paramref name="x"/> on.</summary>
    Vector512<double> Eight(int x);
}

/// <summary>Held in single precision.</summary>
internal readonly unsafe struct SingleRow(float* conductance) : IConductanceRow
{
    public double this[int x]
    {
        [MethodImpl(MethodImplOptions.AggressiveInlining)]
        get => conductance[x];
    }

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public void Prefetch(int x) => Kernels.Prefetch.Beyond(conductance + x);

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public Vector512<double> Eight(int x) => Vector512.WidenLower(Vector256.Load(conductance + x).ToVector512Unsafe());
}

/// <summary>Held in double.</summary>
internal readonly unsafe struct DoubleRow(double* conductance) : IConductanceRow
{
    public double this[int x]
    {
        [MethodImpl(MethodImplOptions.AggressiveInlining)]
        get => conductance[x];
    }

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public void Prefetch(int x) => Kernels.Prefetch.Beyond(conductance + x);

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public Vector512<double> Eight(int x) => Vector512.Load(conductance + x);
}
