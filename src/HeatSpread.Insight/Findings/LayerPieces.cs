using HeatSpread.Thermal;

namespace HeatSpread.Insight;

/// <summary>The connected pieces of copper of one layer, in cells. Copper that touches is one piece, whatever its nets are called.</summary>
internal sealed class LayerPieces
{
    /// <summary>Copper between two cells that conducts less than this share of a whole sheet does not join them.</summary>
    public const float LeastLink = 0.01f;

    /// <summary>No copper in the cell.</summary>
    public const int None = -1;

    private readonly int[] _piece;
    private readonly List<double> _area = [];
    private readonly List<int> _net = [];

    /// <param name="layer">The copper.</param>
    /// <param name="grid">Its cells.</param>
    public LayerPieces(LayerRaster layer, BoardGrid grid)
    {
        _piece = new int[grid.CellCount];
        Array.Fill(_piece, None);
        var open = new Stack<int>();
        for (int start = 0; start < _piece.Length; start++)
        {
            if (_piece[start] == None && layer.CopperShare[start] > 0) Flood(layer, grid, start, open);
        }
    }

    /// <summary>The piece that holds a cell, or <see cref="None"/>.</summary>
    public int Of(int cell) => _piece[cell];

    /// <summary>m².</summary>
    public double Area(int piece) => _area[piece];

    /// <summary>The net with most of the piece's cells; -1 for none.</summary>
    public int Net(int piece) => _net[piece];

    private void Flood(LayerRaster layer, BoardGrid grid, int start, Stack<int> open)
    {
        int piece = _area.Count, net = layer.Net[start], votes = 0;
        double share = 0;
        open.Push(start);
        _piece[start] = piece;
        while (open.TryPop(out int cell))
        {
            share += layer.CopperShare[cell];
            // the majority vote of Boyer and Moore
            if (layer.Net[cell] == net) votes++;
            else if (--votes < 0) (net, votes) = (layer.Net[cell], 1);
            int column = cell % grid.Columns;
            if (column + 1 < grid.Columns && layer.CopperEast[cell] >= LeastLink) Visit(cell + 1);
            if (column > 0 && layer.CopperEast[cell - 1] >= LeastLink) Visit(cell - 1);
            if (cell + grid.Columns < _piece.Length && layer.CopperNorth[cell] >= LeastLink) Visit(cell + grid.Columns);
            if (cell >= grid.Columns && layer.CopperNorth[cell - grid.Columns] >= LeastLink) Visit(cell - grid.Columns);
        }
        _area.Add(share * grid.CellArea);
        _net.Add(net);

        void Visit(int cell)
        {
            if (_piece[cell] != None) return;
            _piece[cell] = piece;
            open.Push(cell);
        }
    }
}
