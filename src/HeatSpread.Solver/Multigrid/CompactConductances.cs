using HeatSpread.Solver.Kernels;

namespace HeatSpread.Solver.Multigrid;

/// <summary>
/// Lateral conductances of the finest level's red cells in half the memory, as <see cref="Level"/> holds them in single precision too. A cycle goes through them twice, and through much more memory than caches hold: 16 bits less of each
/// are a tenth of all that a step of the solve moves. The level's network is the rounded one in all that is made of it, so the refinement, which takes residuals of the network as it is, has to correct what a conductance's last digits make:
/// in the energy norm the rounding leaves a thousandth (2^-10) of what was there at most after a round (the rounded network's energy is that close to the network's own).
/// </summary>
internal sealed unsafe class CompactConductances
{
    /// <summary>Of the greatest conductance, W/K, up and down to which a unit and its inverse are ordinary numbers.</summary>
    private const int MostExponent = 100;

    /// <summary>Cells from which on it is worth it: on the machine without AVX-512 of RESULTS.md two threads took a tenth less for a solve of 124,000, and as long for one of 70,000, in an iteration more.</summary>
    private const int LeastCells = 100_000;

    private readonly AlignedFloats[] _memory;
    private readonly float _unit;

    private CompactConductances(Shape shape, float unit, ScratchPool pool)
    {
        _unit = unit;
        // Whatever is before the first row and behind the last, in 16 bits it is a finite number, and the values that it is multiplied by are zero there.
        _memory = [.. Enumerable.Range(0, 4).Select(skew => pool.RentAny((shape.Length + 1) / 2, skew))];
    }

    private ushort* West => (ushort*)_memory[0].Pointer;

    private ushort* East => (ushort*)_memory[1].Pointer;

    private ushort* North => (ushort*)_memory[2].Pointer;

    private ushort* South => (ushort*)_memory[3].Pointer;

    /// <summary>Null where they are few, too different, or too large or small.</summary>
    /// <param name="range">Of all conductances between cells.</param>
    /// <param name="shape">Of the level.</param>
    /// <param name="pool">Memory.</param>
    public static CompactConductances? For(ConductanceRange range, Shape shape, ScratchPool pool)
    {
        if (shape.Unknowns < LeastCells || !(range.Greatest > 0 && float.IsFinite(range.Greatest))) return null;
        int greatest = MathF.ILogB(range.Greatest), least = MathF.ILogB(range.Least);
        return greatest - least > CompactRow.Orders || Math.Abs(greatest) > MostExponent ? null : new(shape, MathF.ScaleB(1, greatest - CompactRow.GreatestExponent), pool);
    }

    /// <summary>Rounds the level's conductances of a row to what is held here.</summary>
    public void TakeRow(Level level, int row)
    {
        int i = level.Shape.RowStart(row), length = level.Shape.RowStride;
        CompactRow.Round(level.West.Pointer + i, West + i, _unit, length);
        CompactRow.Round(level.East.Pointer + i, East + i, _unit, length);
        CompactRow.Round(level.North.Pointer + i, North + i, _unit, length);
        CompactRow.Round(level.South.Pointer + i, South + i, _unit, length);
    }

    /// <summary>As <see cref="Level.Row"/>.</summary>
    public RowStencil<CompactRow> Row(Shape shape, int color, int row, float* values)
    {
        int i = shape.RowStart(row), p = Shape.Parity(color, row), w = i - 1 + p, e = i + p, stride = shape.RowStride;
        return color == 0
            ? new(new(West + i), values + w, new(East + i), values + e, new(North + i), values + i + stride, new(South + i), values + i - stride, _unit)
            : new(new(East + w), values + w, new(West + e), values + e, new(South + i + stride), values + i + stride, new(North + i - stride), values + i - stride, _unit);
    }

    public void Return(ScratchPool pool)
    {
        foreach (var floats in _memory) pool.Return(floats);
    }
}
