namespace HeatSpread.Solver.Multigrid;

/// <summary>The direct solver of the coarsest network: its cells, then its nodes.</summary>
internal sealed class CoarsestSolver
{
    private readonly SparseCholesky _factor;

    public CoarsestSolver(Conductances network, NodeMatrix nodes)
    {
        (Columns, Rows, Sheets) = (network.Columns, network.Rows, network.Sheets);
        Cells = Columns * Rows * Sheets;
        var (nodeDiagonal, nodeNeighbours) = nodes.Copy();
        var diagonal = new double[Cells + nodes.Count];
        nodeDiagonal.CopyTo(diagonal, Cells);
        var neighbours = new Dictionary<int, double>[diagonal.Length];
        for (var i = 0; i < Cells; i++) neighbours[i] = [];
        for (var i = 0; i < nodes.Count; i++) neighbours[Cells + i] = nodeNeighbours[i].ToDictionary(p => Cells + p.Key, p => p.Value);
        AddCells(network, diagonal, neighbours);
        foreach (var link in network.Links)
        {
            var cell = Index(link.Sheet, link.Row, link.Column);
            diagonal[cell] += link.Conductance;
            Couple(neighbours, cell, Cells + link.Node, link.Conductance);
        }

        Nonzeros = diagonal.Length + neighbours.Sum(d => (long)d.Count);
        _factor = SparseCholesky.Factor(diagonal, neighbours);
    }

    public int Columns { get; }

    public int Rows { get; }

    public int Sheets { get; }

    public int Cells { get; }

    public int Unknowns => _factor.Size;

    public long Nonzeros { get; }

    public int Index(int sheet, int row, int column) => (((sheet * Rows) + row) * Columns) + column;

    public void Solve(double[] rhs, double[] x, double[] work) => _factor.Solve(rhs, x, work);

    private void AddCells(Conductances network, double[] diagonal, Dictionary<int, double>[] neighbours)
    {
        void Join(int a, int b, double g)
        {
            if (g <= 0) return;
            diagonal[a] += g;
            diagonal[b] += g;
            Couple(neighbours, a, b, g);
        }

        for (var s = 0; s < Sheets; s++)
        {
            for (var row = 0; row < Rows; row++)
            {
                for (var x = 0; x < Columns; x++)
                {
                    int at = (s * network.SheetStride) + (row * network.RowStride) + x, cell = Index(s, row, x);
                    diagonal[cell] += network.ToSink[at];
                    if (x + 1 < Columns) Join(cell, cell + 1, network.East[at]);
                    if (row + 1 < Rows) Join(cell, cell + Columns, network.North[at]);
                    if (s + 1 < Sheets) Join(cell, cell + (Columns * Rows), network.Below[at]);
                }
            }
        }
    }

    private static void Couple(Dictionary<int, double>[] neighbours, int a, int b, double g)
    {
        neighbours[a][b] = neighbours[a].GetValueOrDefault(b) - g;
        neighbours[b][a] = neighbours[b].GetValueOrDefault(a) - g;
    }
}
