using System.Numerics;
using HeatSpread.Thermal.Raster;

namespace HeatSpread.Thermal;

/// <summary>One copper layer in cells. Arrays are <c>[row * Columns + column]</c>.</summary>
public sealed class LayerRaster
{
    private const ulong LastColumn = 0x8080808080808080;
    private const ulong LastRow = 0xFF00000000000000;

    private LayerRaster(FinePattern pattern, BoardGrid grid)
    {
        CopperShare = pattern.Share;
        Net = pattern.Owner;
        CopperArea = pattern.Share.Sum(share => (double)share) * grid.CellArea;
        MainPiece = new ulong[grid.CellCount];
        MainShare = new float[grid.CellCount];
        CopperEast = new float[grid.CellCount];
        CopperNorth = new float[grid.CellCount];
        FillEast = new float[grid.CellCount];
        FillNorth = new float[grid.CellCount];
    }

    /// <summary>Share of each cell that is copper, 0 to 1.</summary>
    public float[] CopperShare { get; }

    /// <summary>The net that owns most of a cell's copper: index into the board's nets; -1 for none.</summary>
    public int[] Net { get; }

    /// <summary>Copper on the layer as drawn, within the outline, m².</summary>
    public double CopperArea { get; }

    /// <summary>
    /// Fine points of the piece of copper that a cell's temperature stands for. A cut leaves pieces on both its sides in one cell; only the
    /// largest may conduct to the neighbours, or the cell would bridge the cut.
    /// </summary>
    internal ulong[] MainPiece { get; }

    /// <summary>Share of each cell that its main piece covers.</summary>
    internal float[] MainShare { get; }

    /// <summary>Conductance of the copper between a cell's centre and that of the next column, as a share of that of a whole sheet of copper.</summary>
    public float[] CopperEast { get; }

    /// <summary>As <see cref="CopperEast"/>, to the next row.</summary>
    public float[] CopperNorth { get; }

    /// <summary>Conductance of what is not copper there, as a multiple of that of a whole sheet of it (a narrow gap conducts better than a whole cell).</summary>
    public float[] FillEast { get; }

    /// <summary>As <see cref="FillEast"/>, to the next row.</summary>
    public float[] FillNorth { get; }

    /// <summary>This layer with the cells of a window from another drawing of it; the window's outer cells, which lack neighbours, are left out but at the grid's edge.</summary>
    internal LayerRaster With(LayerRaster drawn, GridWindow window) => new(this, drawn, window);

    private LayerRaster(LayerRaster before, LayerRaster drawn, GridWindow window)
    {
        T[] Patched<T>(Func<LayerRaster, T[]> of)
        {
            var patched = (T[])of(before).Clone();
            foreach (var (from, to, count) in window.Inner) Array.Copy(of(drawn), from, patched, to, count);
            return patched;
        }

        CopperShare = Patched(layer => layer.CopperShare);
        Net = Patched(layer => layer.Net);
        CopperArea = CopperShare.Sum(share => (double)share) * window.Grid.CellArea;
        MainPiece = Patched(layer => layer.MainPiece);
        MainShare = Patched(layer => layer.MainShare);
        CopperEast = Patched(layer => layer.CopperEast);
        CopperNorth = Patched(layer => layer.CopperNorth);
        FillEast = Patched(layer => layer.FillEast);
        FillNorth = Patched(layer => layer.FillNorth);
    }

    internal static LayerRaster From(FinePattern pattern, BoardGrid grid, float[] boardShare, double fillOverCopper, CancellationToken cancellationToken)
    {
        var layer = new LayerRaster(pattern, grid);
        var options = new ParallelOptions { CancellationToken = cancellationToken };
        Parallel.For(0, grid.Rows, options, row =>
        {
            for (int cell = row * grid.Columns; cell < (row + 1) * grid.Columns; cell++)
            {
                layer.MainPiece[cell] = CopperPiece.Largest(pattern.Copper[cell], pattern.OpenEast[cell], pattern.OpenNorth[cell]);
                int points = BitOperations.PopCount(pattern.Copper[cell]);
                layer.MainShare[cell] = points == 0 ? 0 : pattern.Share[cell] * BitOperations.PopCount(layer.MainPiece[cell]) / points;
            }
        });
        double aspect = grid.PitchY / grid.PitchX;
        Parallel.For(0, grid.Rows, options, () => new WindowConductance(fillOverCopper), (row, _, conductance) =>
        {
            for (int cell = row * grid.Columns; cell < (row + 1) * grid.Columns; cell++)
            {
                if (boardShare[cell] <= 0) continue;
                int east = cell + 1, north = cell + grid.Columns;
                if (east % grid.Columns != 0 && boardShare[east] > 0)
                {
                    (layer.CopperEast[cell], layer.FillEast[cell]) =
                        Uniform(pattern, cell, east, pattern.OpenEast, LastColumn) ?? conductance.Of(Window.East(pattern, layer.MainPiece, cell), aspect);
                }
                if (north < grid.CellCount && boardShare[north] > 0)
                {
                    (layer.CopperNorth[cell], layer.FillNorth[cell]) =
                        Uniform(pattern, cell, north, pattern.OpenNorth, LastRow) ?? conductance.Of(Window.North(pattern, layer.MainPiece, cell, north), 1 / aspect);
                }
            }
            return conductance;
        }, _ => { });
        return layer;
    }

    /// <summary>The common cases, without a look at the fine points: both cells without copper, or both whole with no break between.</summary>
    private static (float Copper, float Fill)? Uniform(FinePattern pattern, int first, int second, ulong[] open, ulong beyond)
    {
        if ((pattern.Copper[first] | pattern.Copper[second]) == 0) return (0, 1);
        bool whole = (pattern.Copper[first] & pattern.Copper[second] & open[first] & (open[second] | beyond)) == ulong.MaxValue;
        return whole && pattern.Share[first] > 0.9999f && pattern.Share[second] > 0.9999f ? (1, 0) : null;
    }
}
