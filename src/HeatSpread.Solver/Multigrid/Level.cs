using HeatSpread.Solver.Kernels;

namespace HeatSpread.Solver.Multigrid;

/// <summary>One grid of the hierarchy: conductances, column factors, and weights to the next coarser grid. Immutable once built.</summary>
internal sealed unsafe class Level
{
    /// <summary>Its rows are to be filled by <see cref="LevelPacking"/> and <see cref="Coarsening.Weights"/>.</summary>
    public Level(Shape shape, ScratchPool pool)
    {
        Shape = shape;
        AlignedFloats[] all = [.. Enumerable.Range(0, 9).Select(skew => pool.RentRows(shape, skew))];
        (West, East, North, South, Inverse, Multiplier, Weight) = (all[0], all[1], all[2], all[3], [all[4], all[5]], [all[6], all[7]], all[8]);
    }

    /// <summary>Gives the arrays back; the level is of no use afterwards.</summary>
    public void Return(ScratchPool pool)
    {
        foreach (var floats in (ReadOnlySpan<AlignedFloats>)[West, East, North, South, .. Inverse, .. Multiplier, Weight]) pool.Return(floats);
        Runs?.Return(pool);
        Compact?.Return(pool);
    }

    public Shape Shape { get; }

    /// <summary>Of the red cells, W/K. Each lateral conductance joins a red cell to a black one, so the black cells have no arrays of their own.</summary>
    public AlignedFloats West { get; }

    public AlignedFloats East { get; }

    public AlignedFloats North { get; }

    public AlignedFloats South { get; }

    /// <summary>Of black columns: the share of the western (even rows) or southern (odd rows) coarse column; the other coarse column has the rest.</summary>
    public AlignedFloats Weight { get; }

    /// <summary>By colour: inverse pivots of the columns' L D Lᵀ factors; 0 where there is no cell.</summary>
    public AlignedFloats[] Inverse { get; }

    /// <summary>By colour: conductance to the next sheet over the pivot. (While the level is being built: the conductance itself.)</summary>
    public AlignedFloats[] Multiplier { get; }

    /// <summary>The lateral conductances once more, in less memory; null where that is not worth it.</summary>
    public CompactConductances? Compact { get; init; }

    /// <summary>Null where the level has no nodes.</summary>
    public NodeCoupling? Nodes { get; set; }

    /// <summary>Null where there are none.</summary>
    public ThinRuns? Runs { get; set; }

    /// <summary>Entries of the cells' matrix, both triangles and the diagonal.</summary>
    public long CountNonzeros()
    {
        long count = Shape.Unknowns;
        AlignedFloats[] all = [West, East, North, South, .. Multiplier];
        foreach (var g in all) count += 2L * g.Length - (2L * g.Span.Count(0f));
        return count;
    }

    /// <summary>Conductances of a row of one colour to its neighbours and the neighbours' <paramref name="values"/> (an array of the other colour).</summary>
    public RowStencil Row(int color, int row, float* values)
    {
        int i = Shape.RowStart(row), p = Shape.Parity(color, row), w = i - 1 + p, e = i + p, stride = Shape.RowStride;
        return color == 0
            ? new(West.Pointer + i, values + w, East.Pointer + i, values + e, North.Pointer + i, values + i + stride, South.Pointer + i, values + i - stride)
            : new(East.Pointer + w, values + w, West.Pointer + e, values + e, South.Pointer + i + stride, values + i + stride, North.Pointer + i - stride, values + i - stride);
    }

    /// <summary>x of one row and colour, relaxed exactly: T⁻¹ (rhs + neighbours). <paramref name="rhs"/> may be null for zero.</summary>
    public void Relax(int color, int row, float* x, float* rhs, float* others)
    {
        var i = Shape.RowStart(row);
        float* r = rhs == null ? null : rhs + i, inverse = Inverse[color].Pointer + i, multiplier = Multiplier[color].Pointer + i;
        if (Compact is { } compact) ColumnKernels.Relax(x + i, r, compact.Row(Shape, color, row, others), inverse, multiplier, Shape.Sheets, Shape.Half);
        else ColumnKernels.Relax(x + i, r, Row(color, row, others).Full, inverse, multiplier, Shape.Sheets, Shape.Half);
    }

    /// <summary>x of one row and colour: T⁻¹ (rhs + extra). <paramref name="extra"/> may be null for zero.</summary>
    public void SolveColumns(int color, int row, float* x, float* rhs, float* extra)
    {
        var i = Shape.RowStart(row);
        ColumnKernels.Solve(x + i, rhs + i, extra == null ? null : extra + i, Inverse[color].Pointer + i, Multiplier[color].Pointer + i, Shape.Sheets, Shape.Half);
    }

    /// <summary>x of one row and colour −= what relaxing it would make of it with a right-hand side of zero.</summary>
    public void SubtractRelaxed(int color, int row, float* x, float* others)
    {
        var i = Shape.RowStart(row);
        float* inverse = Inverse[color].Pointer + i, multiplier = Multiplier[color].Pointer + i;
        if (Compact is { } compact) ColumnKernels.SubtractRelaxed(x + i, compact.Row(Shape, color, row, others), inverse, multiplier, Shape.Sheets, Shape.Half);
        else ColumnKernels.SubtractRelaxed(x + i, Row(color, row, others).Full, inverse, multiplier, Shape.Sheets, Shape.Half);
    }

    /// <summary>target = Σ conductance × neighbour + <paramref name="sign"/> × addend, over one row and colour. <paramref name="addend"/> may be the target, or null for zero.</summary>
    public void LateralSum(int color, int row, float* target, float* others, float* addend, float sign)
    {
        var i = Shape.RowStart(row);
        var added = addend == null ? null : addend + i;
        if (Compact is { } compact) ColumnKernels.LateralSum(target + i, compact.Row(Shape, color, row, others), added, sign, Shape.Sheets, Shape.Half);
        else ColumnKernels.LateralSum(target + i, Row(color, row, others).Full, added, sign, Shape.Sheets, Shape.Half);
    }

    /// <summary>Where the conductance of a cell to its neighbour in direction (dx, dy) is stored.</summary>
    public float* LateralPlace(int column, int row, int dx, int dy, int sheet)
    {
        var n = Row(Shape.ColorOf(column, row), row, null);
        var i = (column >> 1) + (sheet * Shape.Half);
        return (dx, dy) switch { (1, 0) => n.East + i, (-1, 0) => n.West + i, (0, 1) => n.North + i, _ => n.South + i };
    }
}
