using HeatSpread.Boards;
using HeatSpread.Thermal;

namespace HeatSpread.Rendering;

/// <summary>
/// Heat that flows in the plane of one copper layer, W per metre of width, at every cell: the mean of what passes its two sides, by the same
/// conductances between cells that the network has, so that it goes round cuts and not through them.
/// </summary>
internal sealed class FlowField
{
    private readonly ValueSurface _x;
    private readonly ValueSurface _y;

    private FlowField(BoardGrid grid, float[] x, float[] y)
    {
        _x = new ValueSurface(grid, x);
        _y = new ValueSurface(grid, y);
        Strong = Percentile(x, y, 0.97);
    }

    /// <summary>A flow that few places exceed: the measure of the others.</summary>
    public double Strong { get; }

    public static FlowField Of(Board board, CopperRaster raster, TemperatureField field, int layer)
    {
        var (grid, copper, row) = (field.Grid, raster.Layers[layer], board.Rows[board.Layers[layer].Row]);
        if (raster.Grid != grid) throw new ArgumentException("the copper must lie in the cells of the temperatures", nameof(raster));
        var celsius = field.RowCelsius[board.Layers[layer].Row];
        float[] x = new float[grid.CellCount], y = new float[grid.CellCount];
        double sheetEast = row.Thickness / grid.PitchX / 2, sheetNorth = row.Thickness / grid.PitchY / 2; // half: each side counts in the mean of two
        for (int cell = 0; cell < celsius.Length; cell++)
        {
            if (cell % grid.Columns + 1 < grid.Columns)
                Add(x, cell, cell + 1, sheetEast * Conductivity(row, copper.CopperEast[cell], copper.FillEast[cell]) * (celsius[cell] - celsius[cell + 1]));
            if (cell + grid.Columns < celsius.Length)
                Add(y, cell, cell + grid.Columns, sheetNorth * Conductivity(row, copper.CopperNorth[cell], copper.FillNorth[cell]) * (celsius[cell] - celsius[cell + grid.Columns]));
        }
        return new FlowField(grid, x, y);
    }

    public (double X, double Y) At(Point p) => (_x.At(p), _y.At(p));

    private static double Conductivity(StackRow row, float copper, float fill) => copper * row.CopperConductivity + fill * row.Fill.InPlane;

    private static void Add(float[] flow, int from, int to, double amount)
    {
        if (double.IsNaN(amount)) return; // nothing leaves the board there
        flow[from] += (float)amount;
        flow[to] += (float)amount;
    }

    private static double Percentile(float[] x, float[] y, double share)
    {
        var sizes = x.Zip(y, (a, b) => Math.Sqrt((double)a * a + (double)b * b)).Where(size => size > 0).Order().ToArray();
        return sizes.Length > 0 ? sizes[(int)(share * (sizes.Length - 1))] : 0;
    }
}
