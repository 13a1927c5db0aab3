using HeatSpread.Boards;

namespace HeatSpread.Thermal.Network;

/// <summary>One sheet of cells: a stack row, or a slice of a thick one.</summary>
/// <param name="Row">Index into the board's rows.</param>
/// <param name="Layer">Index into the board's copper layers, or -1.</param>
/// <param name="Thickness">m.</param>
internal readonly record struct Sheet(int Row, int Layer, double Thickness);

/// <summary>The sheets of a board, top to bottom.</summary>
internal sealed class StackSheets
{
    /// <summary>
    /// Dielectric rows thicker than this are sliced, m: heat that spreads sideways inside a thick core is lost on a grid with one cell through
    /// it, while a thin row between copper conducts across alone.
    /// </summary>
    private const double SliceAbove = 0.5e-3;

    private const double SliceThickness = 0.3e-3;

    private const int MostSlices = 15;

    public StackSheets(Board board)
    {
        var sheets = new List<Sheet>();
        var first = new int[board.Rows.Count];
        var count = new int[board.Rows.Count];
        var layerOfRow = board.Layers.Select((layer, index) => (layer.Row, index)).ToDictionary(pair => pair.Row, pair => pair.index);
        for (int row = 0; row < board.Rows.Count; row++)
        {
            int layer = layerOfRow.GetValueOrDefault(row, -1);
            first[row] = sheets.Count;
            count[row] = layer >= 0 ? 1 : Slices(board.Rows[row].Thickness);
            for (int slice = 0; slice < count[row]; slice++) sheets.Add(new Sheet(row, layer, board.Rows[row].Thickness / count[row]));
        }
        Sheets = sheets;
        FirstOfRow = first;
        CountOfRow = count;
    }

    public IReadOnlyList<Sheet> Sheets { get; }

    public IReadOnlyList<int> FirstOfRow { get; }

    public IReadOnlyList<int> CountOfRow { get; }

    /// <summary>The sheet at a row's centre (slices are odd in number).</summary>
    public int CentreOfRow(int row) => FirstOfRow[row] + CountOfRow[row] / 2;

    private static int Slices(double thickness)
    {
        if (thickness <= SliceAbove) return 1;
        int slices = (int)Math.Round(thickness / SliceThickness);
        return Math.Min(slices | 1, MostSlices);
    }
}
