namespace HeatSpread.Thermal.Network;

/// <summary>From a solved field (rises over ambient) to what the vias carry.</summary>
internal static class ViaReader
{
    public static ViaReadings Read(ThermalNetwork network, ReadOnlySpan<double> field)
    {
        var entries = new List<ViaFlow>(network.Vias.Count);
        var byNet = new SortedDictionary<int, (int Count, double[] Watts)>();
        for (int group = 0; group < network.Vias.Count; group++)
        {
            var given = network.Board.Vias[group];
            var barrels = network.Vias[group];
            if (!byNet.TryGetValue(given.Net, out var net)) net = (0, new double[network.Stack.Sheets.Count]);
            var flows = new double[barrels.LastSheet - barrels.FirstSheet];
            for (int i = 0; i < flows.Length; i++)
            {
                flows[i] = Through(network, barrels, barrels.FirstSheet + i, field);
                net.Watts[barrels.FirstSheet + i] += flows[i];
            }
            byNet[given.Net] = (net.Count + given.At.Count, net.Watts);
            int most = Greatest(flows);
            entries.Add(most < 0 ? new(given.At.Count, 0, -1) : new(given.At.Count, flows[most], LayerAbove(network, barrels.FirstSheet + most)));
        }
        return new(entries, [.. byNet.Select(net => new NetViaFlow(net.Key, net.Value.Count, net.Value.Watts[Greatest(net.Value.Watts)]))]);
    }

    /// <summary>W down the barrels of a group from a sheet to the next one.</summary>
    private static double Through(ThermalNetwork network, Barrels barrels, int sheet, ReadOnlySpan<double> field)
    {
        int start = sheet * network.PlaneCount;
        double sum = 0;
        for (int i = 0; i < barrels.Cells.Length; i++)
        {
            int upper = start + barrels.Cells[i];
            sum += barrels.ConductanceLengths[i] * (field[upper] - field[upper + network.PlaneCount]);
        }
        return sum / network.Distance(sheet);
    }

    private static int Greatest(double[] flows)
    {
        int greatest = flows.Length - 1;
        for (int i = flows.Length - 2; i >= 0; i--)
        {
            if (Math.Abs(flows[i]) >= Math.Abs(flows[greatest])) greatest = i;
        }
        return greatest;
    }

    private static int LayerAbove(ThermalNetwork network, int sheet)
    {
        while (network.Stack.Sheets[sheet].Layer < 0) sheet--;
        return network.Stack.Sheets[sheet].Layer;
    }
}
