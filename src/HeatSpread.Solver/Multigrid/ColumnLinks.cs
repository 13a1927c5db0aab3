using System.Runtime.CompilerServices;

namespace HeatSpread.Solver.Multigrid;

/// <summary>
/// The links of nodes to a level's cells, gathered by columns. A pair is a node and a column with links to it; it has a conductance for each sheet. Columns come red ones first, then by row and x, the pairs
/// of a column by node. Immutable.
/// </summary>
internal sealed class ColumnLinks
{
    private readonly Dictionary<(int X, int Y), int> _at;

    /// <param name="sheets">Of the level.</param>
    /// <param name="x">Of each linked column.</param>
    /// <param name="y">Of each linked column.</param>
    /// <param name="start">First pair of each column; one more, behind the last.</param>
    /// <param name="node">Of each pair.</param>
    /// <param name="conductance">By pair and sheet, W/K.</param>
    public ColumnLinks(int sheets, int[] x, int[] y, int[] start, int[] node, double[] conductance)
    {
        (Sheets, X, Y, Start, Node, Conductance) = (sheets, x, y, start, node, conductance);
        _at = new(x.Length);
        for (var c = 0; c < x.Length; c++)
        {
            _at.Add((x[c], y[c]), c);
            if (Color(c) == 0) RedColumns = c + 1;
        }
    }

    public int Sheets { get; }

    public int[] X { get; }

    public int[] Y { get; }

    public int[] Start { get; }

    public int[] Node { get; }

    public double[] Conductance { get; }

    public int Columns => X.Length;

    public int RedColumns { get; }

    public int Pairs => Node.Length;

    public int Color(int column) => Shape.ColorOf(X[column], Y[column]);

    /// <summary>True where the next coarser grid has this column too.</summary>
    public bool IsCoarse(int column) => ((X[column] | Y[column]) & 1) == 0;

    /// <summary>By sheet.</summary>
    public ReadOnlySpan<double> Of(int pair) => Conductance.AsSpan(pair * Sheets, Sheets);

    /// <summary>-1 where no node is linked.</summary>
    public int Find(int x, int y) => _at.GetValueOrDefault((x, y), -1);

    /// <summary>Adds all conductances to the cells' arrays, one a colour.</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    public void AddTo(AlignedFloats[] cells, Shape shape)
    {
        for (var c = 0; c < Columns; c++)
        {
            var column = cells[Color(c)].Span[shape.ColumnStart(X[c], Y[c])..];
            for (var pair = Start[c]; pair < Start[c + 1]; pair++)
            {
                for (var s = 0; s < Sheets; s++) column[s * shape.Half] += (float)Of(pair)[s];
            }
        }
    }

    public static ColumnLinks Of(Conductances network, int nodes, CancellationToken cancellationToken)
    {
        var sum = new ColumnLinkSum(network.Columns, network.Rows, network.Sheets, nodes, network.Links.Length);
        foreach (var link in network.Links) sum.Pair(link.Node, link.Column, link.Row)[link.Sheet] += link.Conductance;
        return sum.Build(least: 0, cancellationToken);
    }
}
