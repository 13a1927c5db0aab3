namespace HeatSpread.Solver.Multigrid;

/// <summary>The direct solver of the coarsest network: its cells, then its nodes.</summary>
internal sealed class CoarsestSolver
{
    private readonly SparseCholesky _factor;

    public CoarsestSolver(Conductances network, NodeMatrix nodes, ColumnLinks links)
    {
        (Columns, Rows, Sheets) = (network.Columns, network.Rows, network.Sheets);
        Cells = Columns * Rows * Sheets;
        var sum = nodes.ToSum(Cells, Cells + nodes.Count);
        AddCells(network, sum);
        for (var c = 0; c < links.Columns; c++)
        {
            for (var pair = links.Start[c]; pair < links.Start[c + 1]; pair++)
            {
                for (var s = 0; s < Sheets; s++)
                {
                    var g = links.Of(pair)[s];
                    var cell = Index(s, links.Y[c], links.X[c]);
                    sum.Add(cell, cell, g);
                    sum.Add(cell, Cells + links.Node[pair], -g);
                }
            }
        }

        var matrix = sum.Build();
        Nonzeros = matrix.Nonzeros;
        _factor = SparseCholesky.Factor(matrix);
    }

    public int Columns { get; }

    public int Rows { get; }

    public int Sheets { get; }

    public int Cells { get; }

    public int Unknowns => _factor.Size;

    public long Nonzeros { get; }

    public int Index(int sheet, int row, int column) => (((sheet * Rows) + row) * Columns) + column;

    public void Solve(double[] rhs, double[] x, double[] work) => _factor.Solve(rhs, x, work);

    private void AddCells(Conductances network, SymmetricSum sum)
    {
        for (var s = 0; s < Sheets; s++)
        {
            for (var row = 0; row < Rows; row++)
            {
                for (var x = 0; x < Columns; x++)
                {
                    int at = (s * network.SheetStride) + (row * network.RowStride) + x, cell = Index(s, row, x);
                    sum.Add(cell, cell, network.ToSink[at]);
                    if (x + 1 < Columns) sum.Join(cell, cell + 1, network.East[at]);
                    if (row + 1 < Rows) sum.Join(cell, cell + Columns, network.North[at]);
                    if (s + 1 < Sheets) sum.Join(cell, cell + (Columns * Rows), network.Below[at]);
                }
            }
        }
    }
}
