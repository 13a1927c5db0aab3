namespace HeatSpread.Solver;

/// <summary>
/// A network of conductances on a box of cells, with any number of further nodes. Cell index: <c>(sheet * Rows + row) * Columns + column</c>
/// (x fastest). A cell without any conductance is absent. Unknowns are the cells, then the nodes; temperatures are rises over the sink.
/// </summary>
public sealed class ConductanceGrid
{
    /// <param name="columns">Cells along x, at least 1.</param>
    /// <param name="rows">Cells along y, at least 1.</param>
    /// <param name="sheets">Cells through the stack, at least 1.</param>
    /// <param name="nodeCount">Further unknowns beside the grid.</param>
    public ConductanceGrid(int columns, int rows, int sheets, int nodeCount = 0)
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(columns, 1);
        ArgumentOutOfRangeException.ThrowIfLessThan(rows, 1);
        ArgumentOutOfRangeException.ThrowIfLessThan(sheets, 1);
        ArgumentOutOfRangeException.ThrowIfNegative(nodeCount);
        Columns = columns;
        Rows = rows;
        Sheets = sheets;
        NodeCount = nodeCount;
        CellCount = checked(columns * rows * sheets);
        East = new float[CellCount];
        North = new float[CellCount];
        Below = new float[CellCount];
        ToSink = new float[CellCount];
        NodeToSink = new double[nodeCount];
    }

    /// <summary>
    /// A network whose conductances are given in double. The solver's hierarchy is made of them rounded to single precision, and its residuals are taken with them as they are, so that it is their solution that is found.
    /// </summary>
    /// <param name="exact">Must not change afterwards.</param>
    /// <param name="nodeCount">Further unknowns beside the grid.</param>
    /// <exception cref="ArgumentException">A conductance is not 0, but nothing in single precision.</exception>
    public ConductanceGrid(DoubleConductances exact, int nodeCount = 0)
        : this((exact ?? throw new ArgumentNullException(nameof(exact))).Columns, exact.Rows, exact.Sheets, nodeCount)
    {
        Exact = exact;
        foreach (var (from, to) in (ReadOnlySpan<(double[], float[])>)[(exact.East, East), (exact.North, North), (exact.Below, Below), (exact.ToSink, ToSink)])
        {
            for (var i = 0; i < to.Length; i++)
            {
                to[i] = (float)from[i];
                if (to[i] == 0 && from[i] != 0) throw new ArgumentException($"A conductance of cell {i}, {from[i]:g3} W/K, is nothing in single precision.", nameof(exact));
            }
        }
    }

    private ConductanceGrid(ConductanceGrid inside, float[] toSink, double[] nodeToSink)
    {
        Exact = ReferenceEquals(toSink, inside.ToSink) ? inside.Exact : inside.Exact?.WithSinks(toSink);
        (Columns, Rows, Sheets, CellCount, NodeCount) = (inside.Columns, inside.Rows, inside.Sheets, inside.CellCount, inside.NodeCount);
        (East, North, Below, NodeCellLinks, NodeNodeLinks) = (inside.East, inside.North, inside.Below, inside.NodeCellLinks, inside.NodeNodeLinks);
        (ToSink, NodeToSink) = (toSink, nodeToSink);
    }

    public int Columns { get; }

    public int Rows { get; }

    public int Sheets { get; }

    public int CellCount { get; }

    public int NodeCount { get; }

    /// <summary>What <see cref="East"/> and the others are the rounding of; null: they are exact themselves.</summary>
    public DoubleConductances? Exact { get; }

    /// <summary>W/K to the cell of the next column; 0 in the last column. At least 0, finite. A cell that has less than 1e-37 in all counts as one that has none.</summary>
    public float[] East { get; }

    /// <summary>W/K to the cell of the next row; 0 in the last row.</summary>
    public float[] North { get; }

    /// <summary>W/K to the cell of the next sheet; 0 in the last sheet.</summary>
    public float[] Below { get; }

    /// <summary>W/K to the sink.</summary>
    public float[] ToSink { get; }

    /// <summary>W/K from each node to the sink.</summary>
    public double[] NodeToSink { get; }

    /// <summary>Links of nodes to cells.</summary>
    public List<NodeCellLink> NodeCellLinks { get; } = [];

    /// <summary>Links of nodes to nodes.</summary>
    public List<NodeNodeLink> NodeNodeLinks { get; } = [];

    /// <summary>The same network with other links of the cells to the sink; all else is shared, not copied.</summary>
    /// <param name="toSink">W/K, one a cell.</param>
    public ConductanceGrid WithSinks(float[] toSink) => WithSinks(toSink, NodeToSink);

    /// <summary>The same network with other links of cells and nodes to the sink; all else is shared, not copied.</summary>
    /// <param name="toSink">W/K, one a cell.</param>
    /// <param name="nodeToSink">W/K, one a node.</param>
    public ConductanceGrid WithSinks(float[] toSink, double[] nodeToSink)
    {
        ArgumentNullException.ThrowIfNull(toSink);
        ArgumentNullException.ThrowIfNull(nodeToSink);
        ArgumentOutOfRangeException.ThrowIfNotEqual(toSink.Length, CellCount);
        ArgumentOutOfRangeException.ThrowIfNotEqual(nodeToSink.Length, NodeCount);
        return new(this, toSink, nodeToSink);
    }
}

/// <param name="Node">0 to NodeCount - 1.</param>
/// <param name="Cell">Cell index.</param>
/// <param name="Conductance">W/K, positive.</param>
public readonly record struct NodeCellLink(int Node, int Cell, double Conductance);

/// <param name="First">A node.</param>
/// <param name="Second">Another node.</param>
/// <param name="Conductance">W/K, positive.</param>
public readonly record struct NodeNodeLink(int First, int Second, double Conductance);
