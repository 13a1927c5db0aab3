namespace HeatSpread.Service;

/// <summary>Bounds how many requests do one kind of heavy work at the same time, and how many wait to.</summary>
/// <param name="places">At the same time.</param>
/// <param name="mostWaiting">One more is turned away.</param>
internal abstract class Gate(int places, int mostWaiting) : IDisposable
{
    private readonly SemaphoreSlim _places = new(places);
    private int _inside;

    /// <summary>Waits for a place.</summary>
    /// <returns>Gives the place up when disposed; null where too many wait already.</returns>
    public async Task<IDisposable?> Enter(CancellationToken cancellationToken)
    {
        if (Interlocked.Increment(ref _inside) > places + mostWaiting)
        {
            Interlocked.Decrement(ref _inside);
            return null;
        }
        try
        {
            await _places.WaitAsync(cancellationToken);
        }
        catch (OperationCanceledException)
        {
            Interlocked.Decrement(ref _inside);
            throw;
        }
        return new Place(this);
    }

    public void Dispose() => _places.Dispose();

    private sealed class Place(Gate gate) : IDisposable
    {
        public void Dispose()
        {
            gate._places.Release();
            Interlocked.Decrement(ref gate._inside);
        }
    }
}
