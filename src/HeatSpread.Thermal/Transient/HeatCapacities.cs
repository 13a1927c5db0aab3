using HeatSpread.Thermal.Network;

namespace HeatSpread.Thermal.Transient;

/// <summary>What the unknowns of a network store, J/K.</summary>
internal static class HeatCapacities
{
    /// <summary>
    /// Of each cell its copper and its fill by volume, and the metal of its barrels; a hole's own emptiness is not taken off. Of each node what is given; none where nothing is.
    /// </summary>
    /// <param name="network">The board.</param>
    /// <param name="ofNodes">J/K, one a node of the network, at least 0; 0: its temperature follows its neighbours' at once.</param>
    public static double[] Of(ThermalNetwork network, IReadOnlyList<double> ofNodes)
    {
        var capacities = new double[network.Grid.CellCount + network.Grid.NodeCount];
        for (int sheet = 0; sheet < network.Stack.Sheets.Count; sheet++) AddSheet(network, sheet, capacities);
        for (int group = 0; group < network.Vias.Count; group++) AddBarrels(network, group, capacities);
        for (int node = 0; node < network.Grid.NodeCount; node++) capacities[network.Grid.CellCount + node] = ofNodes[node];
        return capacities;
    }

    private static void AddSheet(ThermalNetwork network, int sheetIndex, double[] capacities)
    {
        var sheet = network.Stack.Sheets[sheetIndex];
        var material = network.Board.Rows[sheet.Row];
        var copper = sheet.Layer >= 0 ? network.Raster.Layers[sheet.Layer].CopperShare : null;
        var board = network.Raster.BoardShareArray;
        double volume = network.Raster.Grid.CellArea * sheet.Thickness;
        for (int cell = 0; cell < board.Length; cell++)
        {
            double metal = copper is null ? 0 : Math.Min(copper[cell], board[cell]);
            capacities[sheetIndex * network.PlaneCount + cell] = volume * (metal * material.CopperHeatCapacity + (board[cell] - metal) * material.FillHeatCapacity);
        }
    }

    private static void AddBarrels(ThermalNetwork network, int group, double[] capacities)
    {
        var (barrels, given) = (network.Vias[group], network.Board.Vias[group]);
        if (given.Plating <= 0) return;
        double metal = Boards.Materials.Find("copper")!.JoulesPerCubicMeterKelvin;
        double perHole = given.PlatingArea / (given.PlatingArea * given.PlatingConductivity + given.FillArea * given.FillConductivity);
        for (int i = 0; i < barrels.Cells.Length; i++)
        {
            double area = barrels.ConductanceLengths[i] * perHole;
            for (int sheet = barrels.FirstSheet; sheet <= barrels.LastSheet; sheet++)
            {
                var (row, layer, thickness) = network.Stack.Sheets[sheet];
                if (layer < 0) capacities[sheet * network.PlaneCount + barrels.Cells[i]] += area * thickness * Math.Max(0, metal - network.Board.Rows[row].FillHeatCapacity);
            }
        }
    }
}
