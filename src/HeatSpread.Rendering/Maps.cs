using HeatSpread.Boards;
using HeatSpread.Insight;
using HeatSpread.Thermal;

namespace HeatSpread.Rendering;

/// <summary>Names of the colour scales.</summary>
public static class Palettes
{
    public static IReadOnlyList<string> Names => throw new NotImplementedException();
}

/// <summary>False-colour picture of one copper layer's temperatures.</summary>
public static class LayerMap
{
    /// <returns>A PNG.</returns>
    public static byte[] Draw(Board board, CopperRaster raster, TemperatureField field, int layer, IReadOnlyList<HotSpot> hotSpots, MapOptions options) => throw new NotImplementedException();
}

/// <summary>What a thermal camera would show of one side: the outer face, with the parts' bodies at their case temperature.</summary>
public static class CameraView
{
    /// <returns>A PNG; the bottom is shown as a camera below the board would see it.</returns>
    public static byte[] Draw(Board board, TemperatureField field, BoardSide side, MapOptions options) => throw new NotImplementedException();
}

/// <summary>The copper of one layer as the solver sees it.</summary>
public static class CopperMap
{
    /// <returns>A PNG.</returns>
    public static byte[] Draw(Board board, CopperRaster raster, int layer, int width) => throw new NotImplementedException();
}
