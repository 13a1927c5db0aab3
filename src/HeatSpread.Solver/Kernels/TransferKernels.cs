using System.Runtime.CompilerServices;
namespace HeatSpread.Solver.Kernels;

/// <summary>
/// Between a level and the next coarser one, one sheet of one row at a time. Coarse columns are the fine ones at even x and even y. A black column in
/// an even row lies between the coarse columns h and h + 1 of that row, one in an odd row between coarse rows; <c>weight</c> is the share of the
/// western or southern one, the other has the rest. Red columns need no weights: their residual is zero and their values are relaxed next.
/// </summary>
internal static unsafe class TransferKernels
{
    /// <summary>coarse[h] += shares of a black even row's residuals.</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    public static void RestrictEvenRow(float* coarse, float* residual, float* weight, int coarseColumns)
    {
        for (var h = 0; h < coarseColumns; h++)
            coarse[h] += weight[h] * residual[h] + (1 - weight[h - 1]) * residual[h - 1];
    }

    /// <summary>coarse[h] += shares of the black odd row to the north (weight) and of the one to the south (rest).</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    public static void RestrictOddRow(float* coarse, float* residual, float* weight, bool southern, int coarseColumns)
    {
        for (var h = 0; h < coarseColumns; h++)
            coarse[h] += (southern ? weight[h] : 1 - weight[h]) * residual[h];
    }

    /// <summary>x[h] += weight first[h] + (1 - weight) second[h].</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    public static void Prolong(float* x, float* weight, float* first, float* second, int count)
    {
        for (var h = 0; h < count; h++)
            x[h] += second[h] + weight[h] * (first[h] - second[h]);
    }

    /// <summary>Splits a row in natural order into its two colours.</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    public static void Split(float* even, float* odd, float* natural, int columns)
    {
        for (var x = 0; x + 1 < columns; x += 2)
        {
            even[x >> 1] = natural[x];
            odd[x >> 1] = natural[x + 1];
        }

        if ((columns & 1) != 0) even[columns >> 1] = natural[columns - 1];
    }

    /// <summary>Joins the two colours of a row into natural order.</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    public static void Join(float* natural, float* even, float* odd, int columns)
    {
        for (var x = 0; x + 1 < columns; x += 2)
        {
            natural[x] = even[x >> 1];
            natural[x + 1] = odd[x >> 1];
        }

        if ((columns & 1) != 0) natural[columns - 1] = even[columns >> 1];
    }
}
