namespace HeatSpread.Service.Storage;

/// <summary>Values used lately, up to a sum of bytes; the one longest unused goes first. A value asked for by several at once is made once.</summary>
/// <param name="capacity">Bytes. One value may be larger: it is held until another comes.</param>
/// <param name="size">Bytes that a value holds.</param>
internal sealed class RecentlyUsed<T>(long capacity, Func<T, long> size)
    where T : class
{
    private readonly Lock _gate = new();
    private readonly Dictionary<string, Slot> _slots = new(StringComparer.Ordinal);
    private readonly LinkedList<string> _order = new();
    private long _bytes;

    /// <summary>Held now.</summary>
    public long Bytes
    {
        get
        {
            lock (_gate) return _bytes;
        }
    }

    /// <summary>A value that is held; null where there is none, or it is still being made.</summary>
    public T? Find(string key)
    {
        lock (_gate) return Use(key) is { Value.IsValueCreated: true } slot ? slot.Value.Value : null;
    }

    /// <param name="key">Of the value.</param>
    /// <param name="make">Makes it where it is not held; null is not kept, an exception neither.</param>
    public T? GetOrMake(string key, Func<T?> make)
    {
        while (true)
        {
            Slot slot;
            bool isMine;
            lock (_gate)
            {
                isMine = Use(key) is null;
                if (isMine) _slots[key] = new Slot(new Lazy<T?>(make), _order.AddFirst(key));
                slot = _slots[key];
            }
            try
            {
                return Finish(key, slot);
            }
            catch (OperationCanceledException) when (!isMine)
            {
                // who began to make it has gone; this caller has not
            }
        }
    }

    public void Forget(string key)
    {
        lock (_gate)
        {
            if (_slots.TryGetValue(key, out var slot)) Drop(key, slot);
        }
    }

    private Slot? Use(string key)
    {
        if (!_slots.TryGetValue(key, out var slot)) return null;
        _order.Remove(slot.Node);
        _order.AddFirst(slot.Node);
        return slot;
    }

    private T? Finish(string key, Slot slot)
    {
        T? value = null;
        try
        {
            value = slot.Value.Value;
            return value;
        }
        finally
        {
            lock (_gate)
            {
                if (value is null) DropIfHeld(key, slot);
                else Account(key, slot, size(value));
            }
        }
    }

    private void Account(string key, Slot slot, long bytes)
    {
        if (slot.Bytes > 0 || !_slots.TryGetValue(key, out var held) || held != slot) return;
        slot.Bytes = Math.Max(1, bytes);
        _bytes += slot.Bytes;
        while (_bytes > capacity && _order.Last is { } last && last.Value != key) Drop(last.Value, _slots[last.Value]);
    }

    private void DropIfHeld(string key, Slot slot)
    {
        if (_slots.TryGetValue(key, out var held) && held == slot) Drop(key, slot);
    }

    private void Drop(string key, Slot slot)
    {
        _slots.Remove(key);
        _order.Remove(slot.Node);
        _bytes -= slot.Bytes;
    }

    private sealed class Slot(Lazy<T?> value, LinkedListNode<string> node)
    {
        public Lazy<T?> Value { get; } = value;

        public LinkedListNode<string> Node { get; } = node;

        public long Bytes { get; set; }
    }
}
