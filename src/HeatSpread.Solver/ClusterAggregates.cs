namespace HeatSpread.Solver;

/// <summary>
/// A finer partition for the offsets. How firmly clusters are tied to each other is said by what lies between them, and one offset for all of that would make it many times too firm: so what is in no innermost
/// cluster gets an offset for each sheet and each set of innermost clusters that are next in the six directions.
/// </summary>
internal sealed class ClusterAggregates
{
    private readonly ConductanceGrid _grid;
    private readonly int[] _label;
    private readonly bool[] _isCore;

    /// <summary>For each unknown a number that tells apart what is to have offsets of its own.</summary>
    private readonly ulong[] _key;

    private ClusterAggregates(ClusterLabels labels, ConductanceGrid grid, CancellationToken cancellationToken)
    {
        _grid = grid;
        _label = labels.Label!;
        _isCore = new bool[labels.Count];
        Array.Fill(_isCore, true);
        foreach (var parent in labels.Parent)
        {
            if (parent >= 0) _isCore[parent] = false;
        }

        _key = LargeArray.Filled(_label.Length, 0UL, cancellationToken);
    }

    /// <param name="labels">Found by <see cref="ClusterTree"/>.</param>
    /// <param name="grid">The network's shape.</param>
    /// <param name="cancellationToken">Gives it up.</param>
    /// <returns>The aggregate of each unknown, and their number.</returns>
    public static (int[] Aggregate, int Count) Of(ClusterLabels labels, ConductanceGrid grid, CancellationToken cancellationToken)
    {
        var aggregates = new ClusterAggregates(labels, grid, cancellationToken);
        int columns = grid.Columns, rows = grid.Rows, sheets = grid.Sheets, plane = columns * rows;
        for (var i = 0; i < plane; i++)
        {
            if ((i & 0xFFFF) == 0) cancellationToken.ThrowIfCancellationRequested();
            aggregates.Look(i, plane, sheets);
        }

        for (var s = 0; s < sheets; s++)
        {
            cancellationToken.ThrowIfCancellationRequested();
            for (var row = 0; row < rows; row++) aggregates.Look((s * plane) + (row * columns), 1, columns);
            for (var x = 0; x < columns; x++) aggregates.Look((s * plane) + x, columns, rows);
        }

        return aggregates.Number(labels.Count, cancellationToken);
    }

    /// <summary>Along one line of cells, both ways.</summary>
    private void Look(int first, int step, int count)
    {
        Look(first, step, count, 1);
        Look(first + ((count - 1) * step), -step, count, 2);
    }

    private void Look(int first, int step, int count, ulong direction)
    {
        var core = -1;
        for (int n = 0, i = first; n < count; n++, i += step)
        {
            if (IsCore(_label[i])) core = _label[i];
            else _key[i] = Mix(_key[i] ^ Mix(((ulong)(uint)core << 8) + direction));
        }
    }

    private bool IsCore(int label) => label >= 0 && _isCore[label];

    /// <summary>Finalizer of a 64-bit hash (Stafford 2011): different keys stay different but by an accident of 1 in 2⁶⁴, which costs iterations, no correctness.</summary>
    private static ulong Mix(ulong x)
    {
        x = (x ^ (x >> 30)) * 0xbf58476d1ce4e5b9;
        x = (x ^ (x >> 27)) * 0x94d049bb133111eb;
        return x ^ (x >> 31);
    }

    /// <param name="count">Of clusters: innermost ones keep their numbers.</param>
    /// <param name="cancellationToken">Gives it up.</param>
    private (int[] Aggregate, int Count) Number(int count, CancellationToken cancellationToken)
    {
        var aggregate = LargeArray.Filled(_label.Length, 0, cancellationToken);
        Dictionary<(int Around, int Sheet, ulong Key), int> others = [];
        var plane = _grid.Columns * _grid.Rows;
        for (var i = 0; i < aggregate.Length; i++)
        {
            if ((i & 0x3FFFF) == 0) cancellationToken.ThrowIfCancellationRequested();
            if (IsCore(_label[i]))
            {
                aggregate[i] = _label[i];
                continue;
            }

            // Each node that is in no cluster is one by itself.
            var key = (_label[i], i < _grid.CellCount ? i / plane : -1, i < _grid.CellCount ? _key[i] : (ulong)i);
            if (!others.TryGetValue(key, out var number)) others.Add(key, number = count++);
            aggregate[i] = number;
        }

        return (aggregate, count);
    }
}
