using HeatSpread.Service.Problems;
using Microsoft.Extensions.Options;

namespace HeatSpread.Service.Layouts;

/// <summary>Bounds how many requests read and draw a layout at the same time, for that is work of seconds on a large board, and how many wait to.</summary>
internal sealed class ReadingGate(IOptions<ServiceSettings> settings) : IDisposable
{
    private const int MostWaiting = 256;

    private readonly SemaphoreSlim _places = new(settings.Value.ConcurrentImports);
    private int _inside;

    public static Problem Busy { get; } = new(ProblemKind.Busy, "Too many layouts are being read; try again later.") { RetryAfterSeconds = 1 };

    /// <summary>Waits for a place.</summary>
    /// <returns>Gives the place up when disposed; null where too many wait already.</returns>
    public async Task<IDisposable?> Enter(CancellationToken cancellationToken)
    {
        if (Interlocked.Increment(ref _inside) > settings.Value.ConcurrentImports + MostWaiting)
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

    private sealed class Place(ReadingGate gate) : IDisposable
    {
        public void Dispose()
        {
            gate._places.Release();
            Interlocked.Decrement(ref gate._inside);
        }
    }
}
