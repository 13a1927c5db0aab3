namespace HeatSpread.Solver;

/// <summary>Arrays of one element an unknown. To touch fresh memory takes longer than a caller who gave up is to wait, so it is done bit by bit.</summary>
internal static class LargeArray
{
    private const int Piece = 1 << 18;

    /// <exception cref="OperationCanceledException">As the token asks.</exception>
    public static T[] Filled<T>(int length, T value, CancellationToken cancellationToken)
        where T : unmanaged
    {
        var array = GC.AllocateUninitializedArray<T>(length);
        Fill(array, value, cancellationToken);
        return array;
    }

    /// <exception cref="OperationCanceledException">As the token asks.</exception>
    public static void Fill<T>(Span<T> span, T value, CancellationToken cancellationToken)
        where T : unmanaged
    {
        for (; span.Length > 0; span = span[Math.Min(Piece, span.Length)..])
        {
            cancellationToken.ThrowIfCancellationRequested();
            span[..Math.Min(Piece, span.Length)].Fill(value);
        }
    }
}
