using HeatSpread.Service.Solutions;

namespace HeatSpread.Service.Jobs.Embedded;

/// <summary>How the last jobs ended that came to nothing. Not safe for several threads at once.</summary>
internal sealed class RememberedEnds
{
    private const int Most = 1000;

    private readonly Dictionary<(string Tenant, string Kind, string Id), SolutionProgress> _ends = [];
    private readonly Queue<(string Tenant, string Kind, string Id)> _order = new();

    public SolutionProgress? Find((string Tenant, string Kind, string Id) key) => _ends.GetValueOrDefault(key);

    public void Add((string Tenant, string Kind, string Id) key, SolutionProgress end)
    {
        _ends[key] = end;
        _order.Enqueue(key);
        if (_order.Count > Most) _ends.Remove(_order.Dequeue());
    }

    /// <returns>False where none was remembered.</returns>
    public bool Remove((string Tenant, string Kind, string Id) key) => _ends.Remove(key);
}
