namespace HeatSpread.Solver;

/// <summary>
/// Conductances between the cells of a box, and of each to the sink, in double, in the order of <see cref="ConductanceGrid"/>: for networks whose solution is to hold to more digits than
/// conductances rounded to single precision have. Each 0 or from 1e-37 to 1e38 W/K; what is less has few digits or none in single precision.
/// </summary>
public sealed class DoubleConductances
{
    /// <param name="columns">Cells along x, at least 1.</param>
    /// <param name="rows">Cells along y, at least 1.</param>
    /// <param name="sheets">Cells through the stack, at least 1.</param>
    public DoubleConductances(int columns, int rows, int sheets)
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(columns, 1);
        ArgumentOutOfRangeException.ThrowIfLessThan(rows, 1);
        ArgumentOutOfRangeException.ThrowIfLessThan(sheets, 1);
        (Columns, Rows, Sheets) = (columns, rows, sheets);
        var cells = checked(columns * rows * sheets);
        (East, North, Below, ToSink) = (new double[cells], new double[cells], new double[cells], new double[cells]);
    }

    private DoubleConductances(DoubleConductances inside, double[] toSink)
    {
        (Columns, Rows, Sheets) = (inside.Columns, inside.Rows, inside.Sheets);
        (East, North, Below, ToSink) = (inside.East, inside.North, inside.Below, toSink);
    }

    public int Columns { get; }

    public int Rows { get; }

    public int Sheets { get; }

    /// <summary>W/K to the cell of the next column; 0 in the last column.</summary>
    public double[] East { get; }

    /// <summary>W/K to the cell of the next row; 0 in the last row.</summary>
    public double[] North { get; }

    /// <summary>W/K to the cell of the next sheet; 0 in the last sheet.</summary>
    public double[] Below { get; }

    /// <summary>W/K to the sink.</summary>
    public double[] ToSink { get; }

    /// <summary>The same with other links to the sink; the rest is shared, not copied.</summary>
    internal DoubleConductances WithSinks(float[] toSink) => new(this, Array.ConvertAll(toSink, g => (double)g));
}
