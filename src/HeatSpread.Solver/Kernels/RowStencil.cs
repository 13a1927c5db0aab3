namespace HeatSpread.Solver.Kernels;

/// <summary>One row of one colour as a kernel sees it: conductances to the four neighbouring columns and the neighbours' values, all at the row's first sheet.</summary>
internal readonly unsafe struct RowStencil(float* west, float* westValue, float* east, float* eastValue, float* north, float* northValue, float* south, float* southValue)
{
    public readonly float* West = west, WestValue = westValue, East = east, EastValue = eastValue, North = north, NorthValue = northValue, South = south, SouthValue = southValue;

    /// <summary>The same, for kernels that read conductances however they are held.</summary>
    public RowStencil<FullRow> Full => new(new(West), WestValue, new(East), EastValue, new(North), NorthValue, new(South), SouthValue, 1);
}

/// <summary>As <see cref="RowStencil"/>, of conductances that are held as <typeparamref name="TRow"/>.</summary>
internal readonly unsafe struct RowStencil<TRow>(TRow west, float* westValue, TRow east, float* eastValue, TRow north, float* northValue, TRow south, float* southValue, float unit)
    where TRow : struct, ILateralRow
{
    public readonly TRow West = west, East = east, North = north, South = south;

    public readonly float* WestValue = westValue, EastValue = eastValue, NorthValue = northValue, SouthValue = southValue;

    /// <summary>Of the conductances, W/K; see <see cref="CompactRow"/>.</summary>
    public readonly float Unit = unit;
}
