using System.Runtime.CompilerServices;

namespace HeatSpread.Solver.Multigrid;

/// <summary>The nodes of one level: conductances among them and to the sink, and the sum of each node's links to cells. Immutable.</summary>
internal sealed class NodeMatrix
{
    private readonly double[] _toElsewhere;

    /// <param name="toSink">W/K of each node.</param>
    /// <param name="joins">Conductances among nodes, as a matrix.</param>
    /// <param name="links">To cells.</param>
    public NodeMatrix(double[] toSink, SymmetricMatrix joins, ColumnLinks links)
    {
        (ToSink, Joins, _toElsewhere) = (toSink, joins, [.. toSink]);
        for (var pair = 0; pair < links.Pairs; pair++)
        {
            foreach (var g in links.Of(pair)) _toElsewhere[links.Node[pair]] += g;
        }
    }

    public int Count => ToSink.Length;

    public double[] ToSink { get; }

    public SymmetricMatrix Joins { get; }

    public static NodeMatrix Of(double[] toSink, IEnumerable<(int First, int Second, double Conductance)> nodeLinks, ColumnLinks links)
    {
        var sum = new SymmetricSum(new double[toSink.Length]);
        foreach (var (a, b, g) in nodeLinks) sum.Join(a, b, g);
        return new(toSink, sum.Build(), links);
    }

    /// <summary>residual = rhs − matrix × value, but for the cells.</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    public void Residual(double[] rhs, double[] value, double[] residual)
    {
        for (var i = 0; i < Count; i++) residual[i] = rhs[i] - (_toElsewhere[i] * value[i]);
        for (var i = 0; i < Count; i++)
        {
            for (var e = Joins.RowStart[i]; e < Joins.RowStart[i + 1]; e++) residual[i] += Joins.Value[e] * (value[i] - value[Joins.Column[e]]);
        }
    }

    /// <summary>The matrix, but for the entries between nodes and cells, to be added to.</summary>
    /// <param name="first">Where the nodes start among the unknowns.</param>
    /// <param name="unknowns">All.</param>
    public SymmetricSum ToSum(int first, int unknowns)
    {
        var diagonal = new double[unknowns];
        for (var i = 0; i < Count; i++) diagonal[first + i] = _toElsewhere[i] + Joins.Diagonal[i];
        var sum = new SymmetricSum(diagonal);
        sum.AddEntries(Joins, first);
        return sum;
    }
}

/// <summary>What one solve writes on for its nodes.</summary>
/// <param name="count">Nodes.</param>
/// <param name="pairs">Of a node and a column that it is linked to, on the level that has most.</param>
internal sealed class NodeScratch(int count, int pairs)
{
    /// <summary>Of the finest level: the residual of the nodes and, by their shapes, of their columns.</summary>
    public double[] BasisResidual { get; } = new double[count];

    public double[] Residual { get; } = new double[count];

    public double[] Change { get; } = new double[count];

    public double[] Work { get; } = new double[count];

    /// <summary>What rows, done side by side, find for the nodes, to be added up afterwards.</summary>
    public double[] OfPair { get; } = new double[pairs];
}
