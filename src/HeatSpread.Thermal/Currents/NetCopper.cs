using System.Numerics;
using HeatSpread.Boards;
using HeatSpread.Thermal.Raster;

namespace HeatSpread.Thermal.Currents;

/// <summary>
/// One net's copper and barrels as a network: a cell for each copper layer in each cell of the plan. Cell index: <c>layer * PlaneCount + row * Columns + column</c>, layers from
/// the window's first. Links are cross-section over length, m: divided by the resistivity they are conductances.
/// </summary>
internal sealed class NetCopper
{
    /// <summary>W/(m·K) from which a hole's fill is taken to be copper.</summary>
    private const double CopperFill = 300;

    private readonly NetWindow _window;

    private NetCopper(Board board, NetWindow window, LayerRaster[] layers)
    {
        (_window, Grid, Layers) = (window, window.Grid, layers);
        East = new float[layers.Length * Grid.CellCount];
        North = new float[East.Length];
        Below = new float[East.Length];
        GapLength = new double[Math.Max(0, layers.Length - 1)];
        for (int layer = 0; layer < layers.Length; layer++) AddLayer(layer, board.Rows[board.Layers[window.FirstLayer + layer].Row].Thickness);
        for (int gap = 0; gap < GapLength.Length; gap++) GapLength[gap] = Distance(board, window.FirstLayer + gap);
    }

    /// <summary>Of the window.</summary>
    public BoardGrid Grid { get; }

    /// <summary>From the window's first layer on; only this net's copper.</summary>
    public LayerRaster[] Layers { get; }

    public int FirstLayer => _window.FirstLayer;

    public int PlaneCount => Grid.CellCount;

    public int CellCount => East.Length;

    /// <summary>m, to the cell of the next column.</summary>
    public float[] East { get; }

    /// <summary>m, to the cell of the next row.</summary>
    public float[] North { get; }

    /// <summary>m, to the cell of the next copper layer: metal of barrels over the distance.</summary>
    public float[] Below { get; }

    /// <summary>m from the middle of each copper layer to that of the next one.</summary>
    public double[] GapLength { get; }

    public static NetCopper Build(Board board, int net, NetWindow window, CancellationToken cancellationToken)
    {
        var grid = window.Grid;
        var outline = new RowIndex(PaintProgram.ForRegion(board.Outline), grid);
        var boardShare = RegionCover.Of(outline, grid, cancellationToken);
        var layers = new LayerRaster[window.LayerCount];
        for (int layer = 0; layer < layers.Length; layer++)
        {
            var pattern = FinePattern.Scan(new RowIndex(PaintProgram.ForNet(board, window.FirstLayer + layer, net), grid), outline, grid, cancellationToken, net);
            layers[layer] = LayerRaster.From(pattern, grid, boardShare, fillOverCopper: 0, cancellationToken);
        }
        var copper = new NetCopper(board, window, layers);
        foreach (var group in board.Vias.Where(via => via.Net == net && via.Plating > 0)) copper.AddBarrels(group);
        return copper;
    }

    /// <summary>Index into the cells of the temperature field's plan.</summary>
    public int ThermalCell(int cell)
    {
        int inPlane = cell % PlaneCount, column = inPlane % Grid.Columns / _window.Refinement, row = inPlane / Grid.Columns / _window.Refinement;
        return (_window.FirstRow + row) * _window.Thermal.Columns + _window.FirstColumn + column;
    }

    /// <summary>Index into the board's copper layers.</summary>
    public int LayerOf(int cell) => _window.FirstLayer + cell / PlaneCount;

    /// <summary>The middle of the copper that a cell stands for, m; its centre where there is none.</summary>
    public Point Middle(int cell)
    {
        int inPlane = cell % PlaneCount, column = inPlane % Grid.Columns, row = inPlane / Grid.Columns;
        ulong piece = Layers[cell / PlaneCount].MainPiece[inPlane];
        return new Point(Grid.Origin.X + (column + MeanColumn(piece)) * Grid.PitchX, Grid.Origin.Y + (row + MeanColumn(CopperPiece.Transpose(piece))) * Grid.PitchY);
    }

    private static double MeanColumn(ulong piece)
    {
        const ulong firstColumn = 0x0101010101010101;
        if (piece == 0) return 0.5;
        int sum = 0;
        for (int column = 1; column < RowScanner.Fine; column++) sum += column * BitOperations.PopCount(piece & (firstColumn << column));
        return (0.5 + sum / (double)BitOperations.PopCount(piece)) / RowScanner.Fine;
    }

    private void AddLayer(int layer, double thickness)
    {
        double east = thickness * Grid.PitchY / Grid.PitchX, north = thickness * Grid.PitchX / Grid.PitchY;
        for (int cell = 0; cell < PlaneCount; cell++)
        {
            East[layer * PlaneCount + cell] = (float)(east * Layers[layer].CopperEast[cell]);
            North[layer * PlaneCount + cell] = (float)(north * Layers[layer].CopperNorth[cell]);
        }
    }

    private static double Distance(Board board, int layer)
    {
        int upper = board.Layers[layer].Row, lower = board.Layers[layer + 1].Row;
        return board.Rows.Skip(upper).Take(lower - upper + 1).Sum(row => row.Thickness) - (board.Rows[upper].Thickness + board.Rows[lower].Thickness) / 2;
    }

    private void AddBarrels(ViaGroup group)
    {
        double metal = group.PlatingArea + (group.FillConductivity >= CopperFill ? group.FillArea : 0);
        var cells = new List<(int Cell, ulong Points)>();
        foreach (var at in group.At)
        {
            PointsOf(at, group.Drill / 2, cells);
            for (int gap = group.FromLayer - FirstLayer; gap < group.ToLayer - FirstLayer; gap++)
            {
                int[] weights = [.. cells.Select(covered => Math.Min(Joined(covered, gap), Joined(covered, gap + 1)))];
                int sum = weights.Sum();
                for (int i = 0; i < weights.Length; i++)
                {
                    if (weights[i] > 0) Below[gap * PlaneCount + cells[i].Cell] += (float)(metal / GapLength[gap] * weights[i] / sum);
                }
            }
        }
    }

    /// <summary>Fine points of a barrel that are of the copper that the cell stands for.</summary>
    private int Joined((int Cell, ulong Points) covered, int layer) => BitOperations.PopCount(covered.Points & Layers[layer].MainPiece[covered.Cell]);

    /// <summary>The cells of the plan that a disc covers, with their fine points in it; where it is smaller than a fine point, the nearest one.</summary>
    private void PointsOf(Point centre, double radius, List<(int Cell, ulong Points)> cells)
    {
        cells.Clear();
        var (firstColumn, firstRow) = Grid.CellAt(new Point(centre.X - radius, centre.Y - radius));
        var (lastColumn, lastRow) = Grid.CellAt(new Point(centre.X + radius, centre.Y + radius));
        double fineX = Grid.PitchX / RowScanner.Fine, fineY = Grid.PitchY / RowScanner.Fine;
        (double Distance, int Cell, ulong Point) nearest = (double.PositiveInfinity, 0, 0);
        for (int row = firstRow; row <= lastRow; row++)
        {
            for (int column = firstColumn; column <= lastColumn; column++)
            {
                ulong points = 0;
                double x0 = Grid.Origin.X + column * Grid.PitchX - centre.X, y0 = Grid.Origin.Y + row * Grid.PitchY - centre.Y;
                for (int bit = 0; bit < RowScanner.Fine * RowScanner.Fine; bit++)
                {
                    double distance = double.Hypot(x0 + (bit % RowScanner.Fine + 0.5) * fineX, y0 + (bit / RowScanner.Fine + 0.5) * fineY);
                    if (distance <= radius) points |= 1UL << bit;
                    if (distance < nearest.Distance) nearest = (distance, row * Grid.Columns + column, 1UL << bit);
                }
                if (points != 0) cells.Add((row * Grid.Columns + column, points));
            }
        }
        if (cells.Count == 0) cells.Add((nearest.Cell, nearest.Point));
    }
}
