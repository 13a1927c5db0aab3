using HeatSpread.Boards;
using HeatSpread.Insight;
using HeatSpread.Thermal;

namespace HeatSpread.Service.Solutions;

/// <summary>What the pictures and fields of a solution are made of.</summary>
internal sealed class SolvedBoard
{
    private readonly Lazy<CopperRaster> _raster;

    public SolvedBoard(Board board, TemperatureField field, IReadOnlyList<HotSpot> hotSpots)
    {
        Board = board;
        Field = field;
        HotSpots = hotSpots;
        _raster = new(() => CopperRaster.Build(board, field.Grid, CancellationToken.None));
    }

    public Board Board { get; }

    public TemperatureField Field { get; }

    public IReadOnlyList<HotSpot> HotSpots { get; }

    /// <summary>The copper of the field's cells; drawn again at its first use, for it is not stored.</summary>
    public CopperRaster Raster => _raster.Value;

    /// <summary>Memory held, fields and raster.</summary>
    public long BytesHeld => (long)Field.Grid.CellCount * ((Field.RowCelsius.Count + (Field.Currents?.LayerAmpsPerMm2.Count ?? 0) + 3) * sizeof(float) + Board.Layers.Count * (sizeof(float) + sizeof(int)));
}
