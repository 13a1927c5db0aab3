using HeatSpread.Boards;
using HeatSpread.Thermal.Boundary;
using HeatSpread.Thermal.Network;

namespace HeatSpread.Thermal.Revisions;

/// <summary>
/// What a network's flows at one field are worth to some readings: sums over links of conductance · (difference of the adjoint) · (difference of the field), in K. The
/// field and the adjoints are over a <see cref="UnionFrame"/>, the field in K over the baseline's ambient.
/// </summary>
internal sealed class AdjointSums(double[] field, double[][] adjoints, double baselineAmbient)
{
    public int Readings => adjoints.Length;

    public double[][] Adjoints => adjoints;

    /// <summary>All links of cells to cells.</summary>
    public double[] Inner(Placement placed)
    {
        var (network, plan) = (placed.Network, placed.Network.Raster.Grid);
        var sums = new double[placed.Sheets.Length * plan.Rows][];
        Parallel.For(0, sums.Length, line =>
        {
            var sum = sums[line] = new double[Readings];
            int sheet = line / plan.Rows, start = line % plan.Rows * plan.Columns;
            int here = placed.Sheets[sheet] * network.PlaneCount, below = sheet + 1 < placed.Sheets.Length ? placed.Sheets[sheet + 1] * network.PlaneCount : 0;
            for (int cell = start; cell < start + plan.Columns; cell++)
            {
                int own = sheet * network.PlaneCount + cell;
                Add(sum, network.Grid.East[own], here + cell, here + cell + 1);
                Add(sum, network.Grid.North[own], here + cell, here + cell + plan.Columns);
                Add(sum, network.Grid.Below[own], here + cell, below + cell);
            }
        });
        return Total(sums);
    }

    /// <summary>Adds one link.</summary>
    public void Add(double[] sum, double conductance, int first, int second)
    {
        if (conductance == 0) return;
        double flow = conductance * (field[first] - field[second]);
        for (int reading = 0; reading < sum.Length; reading++) sum[reading] += flow * (adjoints[reading][first] - adjoints[reading][second]);
    }

    /// <summary>Films, contacts and rim under conditions: W out of each of the network's cells.</summary>
    public double[] Outflow(Placement placed, Conditions conditions, OuterFaces faces, RimFilm rim)
    {
        double[] rise = placed.Gather(field, conditions.AmbientCelsius - baselineAmbient);
        var flows = new double[rise.Length];
        faces.AddFlows(rise, flows);
        rim.AddFlows(rise, flows);
        return flows;
    }

    /// <summary>Makes a network's conductivities those at the field.</summary>
    public void TakeTemperatures(Placement placed, CancellationToken cancellationToken)
    {
        if (placed.Network.DependsOnTemperature) placed.Network.TakeTemperatures(placed.Gather(field, 0), baselineAmbient, cancellationToken);
    }

    public double[] Outflow(Placement placed, Conditions conditions) => Outflow(placed, conditions, new OuterFaces(placed.Network, conditions), new RimFilm(placed.Network, conditions.EdgesFilm));

    /// <summary>What an outflow is worth.</summary>
    public double[] Worth(Placement placed, double[] outflow)
    {
        var sum = new double[Readings];
        for (int unknown = 0; unknown < outflow.Length; unknown++)
        {
            if (outflow[unknown] == 0) continue;
            int at = placed.Place(unknown);
            for (int reading = 0; reading < sum.Length; reading++) sum[reading] += outflow[unknown] * adjoints[reading][at];
        }
        return sum;
    }

    /// <summary>Links and heat of each part: what its links carry less what heat it brings.</summary>
    /// <param name="placed">Network that the parts are attached to.</param>
    /// <param name="parts">The parts.</param>
    /// <param name="ambient">°C that links to ambient lead to.</param>
    /// <returns><c>[part][reading]</c>.</returns>
    public double[][] Parts(Placement placed, PartAttachments parts, double ambient)
    {
        var (network, grid) = (placed.Network, placed.Network.Grid);
        double[][] sums = [.. network.Board.Parts.Select(_ => new double[Readings])];
        int[] partOf = [.. network.Board.Parts.SelectMany((part, index) => Enumerable.Repeat(index, part.Network?.Nodes.Count ?? 0))];
        foreach (var link in grid.NodeCellLinks) Add(sums[partOf[link.Node]], link.Conductance, placed.Nodes[link.Node], placed.Place(link.Cell));
        foreach (var link in grid.NodeNodeLinks) Add(sums[partOf[link.First]], link.Conductance, placed.Nodes[link.First], placed.Nodes[link.Second]);
        for (int node = 0; node < partOf.Length; node++)
        {
            double flow = grid.NodeToSink[node] * (field[placed.Nodes[node]] - (ambient - baselineAmbient));
            for (int reading = 0; reading < Readings; reading++) sums[partOf[node]][reading] += flow * adjoints[reading][placed.Nodes[node]];
        }
        for (int part = 0; part < sums.Length; part++)
        {
            double[] worth = HeatWorth(placed, parts, part);
            for (int reading = 0; reading < Readings; reading++) sums[part][reading] -= parts.Watts[part] * worth[reading];
        }
        return sums;
    }

    /// <summary>What a watt in a part is worth, K/W.</summary>
    public double[] HeatWorth(Placement placed, PartAttachments parts, int part)
    {
        var entry = parts.HeatEntry(part);
        var worth = new double[Readings];
        for (int i = 0; i < entry.Unknowns.Count; i++)
        {
            int at = placed.Place(entry.Unknowns[i]);
            for (int reading = 0; reading < Readings; reading++) worth[reading] += entry.Weights[i] * adjoints[reading][at];
        }
        return worth;
    }

    public static double[] Less(double[] first, double[] second) => [.. first.Zip(second, (a, b) => a - b)];

    private static double[] Total(double[][] sums)
    {
        var total = new double[sums[0].Length];
        foreach (double[] sum in sums)
        {
            for (int reading = 0; reading < total.Length; reading++) total[reading] += sum[reading];
        }
        return total;
    }
}
