namespace HeatSpread.Solver.Multigrid;

/// <summary>Chains of cells as <see cref="ChainFinder"/> found them, in memory that goes back to the pool.</summary>
internal sealed unsafe class Chains(AlignedFloats cells, int count, AlignedFloats order, int[] start, ScratchPool pool) : IDisposable
{
    /// <summary>Cells.</summary>
    public int Count { get; } = count;

    /// <summary>In the order of memory.</summary>
    public ChainCell* Cells { get; } = (ChainCell*)cells.Pointer;

    /// <summary>The number of the cell at each place of the chains, these one behind the other.</summary>
    public int* Order { get; } = (int*)order.Pointer;

    /// <summary>Where each chain starts there, with the end of the last.</summary>
    public int[] Start { get; } = start;

    public void Dispose()
    {
        pool.Return(cells);
        pool.Return(order);
    }
}

/// <summary>A cell of a chain.</summary>
internal readonly struct ChainCell(int color, int place)
{
    private readonly uint _key = ((uint)place << 1) | (uint)color;

    public int Color => (int)(_key & 1);

    public int Place => (int)(_key >> 1);
}
