using System.Text.Json;
using HeatSpread.Boards;
using HeatSpread.Insight;
using HeatSpread.Service.Storage;
using HeatSpread.Thermal;

namespace HeatSpread.Service.Solutions;

/// <summary>A field without its arrays, as it is stored beside them.</summary>
internal sealed record StoredField(BoardGrid Grid, int StackRows, IReadOnlyList<PartTemperatures> Parts, HeatBalance Heat, SurfaceReadings Surfaces, ViaReadings Vias, SolveFigures Solve, IReadOnlyList<HotSpot> HotSpots, IReadOnlyList<CurrentReading>? Currents, int CurrentLayers)
{
    private const string FieldFile = "field.json";
    private const string TopFile = "top.npy";
    private const string BottomFile = "bottom.npy";

    public static IEnumerable<EntryFile> Files(TemperatureField field, IReadOnlyList<HotSpot> hotSpots)
    {
        var stored = new StoredField(field.Grid, field.RowCelsius.Count, field.Parts, field.Heat, field.Surfaces, field.Vias, field.Solve, hotSpots, field.Currents?.Readings, field.Currents?.LayerAmpsPerMm2.Count ?? 0);
        yield return new EntryFile(FieldFile, JsonSerializer.SerializeToUtf8Bytes(stored, ServiceJson.Written.StoredField));
        for (int row = 0; row < field.RowCelsius.Count; row++) yield return new EntryFile(RowFile(row), Array(field.RowCelsius[row]));
        yield return new EntryFile(TopFile, Array(field.TopFaceCelsius));
        yield return new EntryFile(BottomFile, Array(field.BottomFaceCelsius));
        for (int layer = 0; layer < stored.CurrentLayers; layer++) yield return new EntryFile(CurrentFile(layer), Array(field.Currents!.LayerAmpsPerMm2[layer]));

        byte[] Array(float[] values) => Npy.Write(values, field.Grid.Rows, field.Grid.Columns);
    }

    /// <param name="board">Whose field it is.</param>
    /// <param name="raster">Of the board, on a grid.</param>
    /// <param name="read">Gives the bytes of a file; null where the entry is gone.</param>
    public static SolvedBoard? Open(Board board, Func<BoardGrid, CopperRaster> raster, Func<string, byte[]?> read)
    {
        if (read(FieldFile) is not { } json) return null;
        var stored = JsonSerializer.Deserialize(json, ServiceJson.Written.StoredField)!;
        float[][] arrays = [.. Enumerable.Range(0, stored.StackRows).Select(RowFile).Append(TopFile).Append(BottomFile).Select(Array)];
        float[][] currents = [.. Enumerable.Range(0, stored.CurrentLayers).Select(CurrentFile).Select(Array)];
        if (arrays.Concat(currents).Any(a => a.Length == 0)) return null;
        var field = new TemperatureField
        {
            Grid = stored.Grid,
            RowCelsius = arrays[..stored.StackRows],
            TopFaceCelsius = arrays[^2],
            BottomFaceCelsius = arrays[^1],
            Parts = stored.Parts,
            Heat = stored.Heat,
            Currents = stored.Currents is { } readings ? new CurrentField { Readings = readings, LayerAmpsPerMm2 = currents } : null,
            Surfaces = stored.Surfaces,
            Vias = stored.Vias,
            Solve = stored.Solve,
        };
        return new SolvedBoard(board, field, stored.HotSpots, () => raster(stored.Grid));

        float[] Array(string file) => read(file) is { } bytes ? Npy.Read(bytes, stored.Grid.CellCount) : [];
    }

    private static string CurrentFile(int layer) => $"current-{layer}.npy";

    private static string RowFile(int row) => $"row-{row}.npy";
}
