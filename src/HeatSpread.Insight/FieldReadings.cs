using HeatSpread.Boards;
using HeatSpread.Thermal;

namespace HeatSpread.Insight;

/// <summary>What the answer reports of a field: its peak, its layers, its parts and its probes.</summary>
internal static class FieldReadings
{
    /// <summary>The hottest cell of all rows of the stack, laminate and mask included.</summary>
    public static Place Peak(Board board, GridSolution solution)
    {
        var (field, grid) = (solution.Field, solution.Field.Grid);
        var (hottestRow, hottestCell, celsius) = (0, 0, float.NegativeInfinity);
        for (int row = 0; row < field.RowCelsius.Count; row++)
        {
            float[] cells = field.RowCelsius[row];
            for (int cell = 0; cell < cells.Length; cell++)
            {
                if (cells[cell] > celsius) (hottestRow, hottestCell, celsius) = (row, cell, cells[cell]); // NaN compares false
            }
        }
        int layer = LayerOfRow(board, hottestRow);
        string? net = layer < 0 ? null : NetName(board, solution.Raster, layer, hottestCell);
        return new(celsius, RowName(board, hottestRow), grid.Centre(hottestCell % grid.Columns, hottestCell / grid.Columns), net) { GridErrorKelvin = solution.Errors?.Peak };
    }

    /// <summary>One a copper layer: over its whole row by board area, laminate included.</summary>
    public static IReadOnlyList<LayerSummary> Layers(Board board, GridSolution solution)
    {
        var share = solution.Raster.BoardShare;
        double boardCells = share.Sum(s => (double)s);
        var summaries = new List<LayerSummary>();
        for (int layer = 0; layer < board.Layers.Count; layer++)
        {
            float[] celsius = solution.Field.RowCelsius[board.Layers[layer].Row];
            float[] copper = solution.Raster.Layers[layer].CopperShare;
            var (max, min, sum, weight, copperCells) = (double.NegativeInfinity, double.PositiveInfinity, 0.0, 0.0, 0.0);
            for (int cell = 0; cell < celsius.Length; cell++)
            {
                if (float.IsNaN(celsius[cell])) continue;
                (max, min) = (Math.Max(max, celsius[cell]), Math.Min(min, celsius[cell]));
                sum += (double)share[cell] * celsius[cell];
                weight += share[cell];
                copperCells += Math.Min(copper[cell], share[cell]);
            }
            summaries.Add(new(board.Layers[layer].Name, max, min, sum / weight, copperCells / boardCells));
        }
        return summaries;
    }

    /// <summary>One a part, in the board's order.</summary>
    public static IReadOnlyList<PartSummary> Parts(Board board, TemperatureField field, GridErrors? errors = null) =>
        [.. board.Parts.Zip(field.Parts, Summarise).Select((part, i) => part with { GridErrorKelvin = errors?.Parts[i] })];

    /// <summary>One a probe, in the board's order.</summary>
    public static IReadOnlyList<ProbeReading> Probes(Board board, TemperatureField field, GridErrors? errors = null) =>
        [.. board.Probes.Select((probe, i) => new ProbeReading(probe.Name, FieldSample.At(field.Grid, field.RowCelsius[board.Layers[probe.Layer].Row], probe.At)) { GridErrorKelvin = errors?.Probes[i] })];

    /// <summary>One a current, in the conditions' order.</summary>
    public static IReadOnlyList<CurrentSummary> Currents(Board board, Conditions conditions, TemperatureField field) =>
        [.. conditions.Currents.Zip(field.Currents?.Readings ?? [], (current, reading) => new CurrentSummary(current, board.Nets[current.Net].Name, reading, board.Layers[reading.PeakLayer].Name))];

    /// <summary>Name of the net that owns most of a cell's copper, or null.</summary>
    public static string? NetName(Board board, CopperRaster raster, int layer, int cell)
    {
        int net = raster.Layers[layer].Net[cell];
        return net < 0 ? null : board.Nets[net].Name;
    }

    private static PartSummary Summarise(Part part, PartTemperatures temperatures)
    {
        var nodes = new Dictionary<string, double>();
        for (int node = 0; node < temperatures.NodeCelsius.Count; node++) nodes.Add(part.Network!.Nodes[node], temperatures.NodeCelsius[node]);
        var terminals = part.Terminals.Select((terminal, i) => new TerminalReading(terminal.Name, temperatures.TerminalCelsius[i], temperatures.TerminalWatts[i]));
        return new(part.Id, temperatures.Watts, temperatures.MaxCelsius, part.LimitCelsius, nodes, [.. terminals]);
    }

    internal static string RowName(Board board, int row) =>
        board.Rows[row].Name ?? $"{board.Rows[row].Kind.ToString().ToLowerInvariant()} {row + 1}";

    private static int LayerOfRow(Board board, int row)
    {
        for (int layer = 0; layer < board.Layers.Count; layer++)
        {
            if (board.Layers[layer].Row == row) return layer;
        }
        return -1;
    }
}
