using System.Runtime.CompilerServices;
using System.Runtime.Intrinsics;

namespace HeatSpread.Solver.Kernels;

/// <summary>Conductances of a row of cells, however they are held, as the kernels in double read them.</summary>
internal interface IConductanceRow
{
    double this[int x] { get; }

    /// <summary>Asks for those some places behind sixteen.</summary>
    void Fetch(int x);

    /// <summary>Sixteen from <paramref name="x"/> on.</summary>
    (Vector512<double> Low, Vector512<double> High) Sixteen(int x);
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
    public void Fetch(int x) => Ahead.Fetch(conductance + x);

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public (Vector512<double> Low, Vector512<double> High) Sixteen(int x) => Vector512.Widen(Vector512.Load(conductance + x));
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
    public void Fetch(int x) => Ahead.Fetch(conductance + x, conductance + x + 8);

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public (Vector512<double> Low, Vector512<double> High) Sixteen(int x) => (Vector512.Load(conductance + x), Vector512.Load(conductance + x + 8));
}
