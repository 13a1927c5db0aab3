using HeatSpread.Service.Problems;
using HeatSpread.Service.Storage;
using HeatSpread.Service.Tenants;

namespace HeatSpread.Service.Solutions;

/// <summary>Pictures that were asked for lately, and the drawing of those that were not: as many at the same time as there are cores, so that other requests find a free thread.</summary>
internal sealed class Pictures(Workspace workspace, RecentlyUsed<byte[]> shared, DrawingGate gate)
{
    private readonly TenantCache<byte[]> _recent = new(workspace.Tenant, shared);

    /// <summary>Draws a picture, or finds it again.</summary>
    /// <param name="tag">Stands for all that it shows.</param>
    /// <param name="draw">Makes it.</param>
    /// <param name="cancellationToken">Gives up waiting.</param>
    /// <exception cref="BusyException">Too many wait already.</exception>
    public async Task<byte[]> Draw(string tag, Func<byte[]> draw, CancellationToken cancellationToken)
    {
        if (_recent.Find(tag) is { } known) return known;
        using var place = await gate.Enter(cancellationToken);
        if (place is null) throw new BusyException("Too many pictures are being drawn; try again later.");
        return _recent.GetOrMake(tag, draw)!;
    }

    /// <summary>As <see cref="Draw"/>, where the work is bounded by another gate.</summary>
    public async Task<byte[]> Make(string tag, Func<Task<byte[]>> make)
    {
        if (_recent.Find(tag) is { } known) return known;
        byte[] made = await make();
        return _recent.GetOrMake(tag, () => made)!;
    }
}

/// <summary>Bounds how many pictures are drawn at the same time.</summary>
internal sealed class DrawingGate() : Gate(Environment.ProcessorCount, mostWaiting: 256);
