using HeatSpread.Boards;
using HeatSpread.Insight;
using HeatSpread.Thermal;

namespace HeatSpread.Service.Solutions;

/// <summary>What the pictures and fields of a solution are made of.</summary>
internal sealed class SolvedBoard
{
    /// <summary>Memory of a raster for a cell and layer, bytes: measured (DEVELOPERS.md).</summary>
    private const int RasterBytesPerCell = 36;

    private readonly Func<CopperRaster> _raster;

    public SolvedBoard(Board board, TemperatureField field, IReadOnlyList<HotSpot> hotSpots, Func<CopperRaster> raster)
    {
        Board = board;
        Field = field;
        HotSpots = hotSpots;
        _raster = raster;
    }

    public Board Board { get; }

    public TemperatureField Field { get; }

    public IReadOnlyList<HotSpot> HotSpots { get; }

    /// <summary>The copper of the field's cells. It is not stored: drawn again where no solution of the same layout and grid has been looked at lately.</summary>
    public CopperRaster Raster => _raster();

    /// <summary>Memory held by the fields.</summary>
    public long BytesHeld => (long)Field.Grid.CellCount * (Field.RowCelsius.Count + 2 + (Field.Currents?.LayerAmpsPerMm2.Count ?? 0)) * sizeof(float);

    /// <summary>Memory that a raster holds.</summary>
    public static long BytesOf(CopperRaster raster) => (long)raster.Grid.CellCount * (sizeof(float) + RasterBytesPerCell * raster.Layers.Count);
}
