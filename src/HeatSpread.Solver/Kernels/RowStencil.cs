namespace HeatSpread.Solver.Kernels;

/// <summary>One row of one colour as a kernel sees it: conductances to the four neighbouring columns and the neighbours' values, all at the row's first sheet.</summary>
internal readonly unsafe struct RowStencil(float* west, float* westValue, float* east, float* eastValue, float* north, float* northValue, float* south, float* southValue)
{
    public readonly float* West = west, WestValue = westValue, East = east, EastValue = eastValue, North = north, NorthValue = northValue, South = south, SouthValue = southValue;
}
