using HeatSpread.Boards;
using HeatSpread.Thermal.Boundary;
using HeatSpread.Thermal.Network;

namespace HeatSpread.Thermal;

/// <summary>
/// What a change of a board or of what surrounds it is worth to readings, to first order: with F(T) = q the board's equations, λ the adjoint of a reading and F', q' those of the
/// changed board, λ·(q' - F'(T)) at the unchanged field T. Half the difference of that for two small changes, one up, one down, is the derivative. Films count by their own
/// laws, so it holds where they depend on
/// temperature too; heat and conductivities that depend on temperature are not in the adjoint.
/// </summary>
public static class FirstOrder
{
    /// <param name="solved">Before the change.</param>
    /// <param name="adjoints">Of the readings, over all unknowns.</param>
    /// <param name="board">After the change; the same object where only the conditions change.</param>
    /// <param name="conditions">After the change.</param>
    /// <param name="raster">Of <paramref name="board"/>.</param>
    /// <param name="cancellationToken">Ends it.</param>
    /// <returns>K, one a reading, of absolute temperature; null where the changed board has other unknowns.</returns>
    /// <exception cref="OperationCanceledException">As the token asks.</exception>
    public static double[]? Worth(SolvedNetwork solved, IReadOnlyList<double[]> adjoints, Board board, Conditions conditions, CopperRaster raster, CancellationToken cancellationToken)
    {
        ArgumentNullException.ThrowIfNull(solved);
        ArgumentNullException.ThrowIfNull(adjoints);
        ArgumentNullException.ThrowIfNull(conditions);
        bool sameBoard = ReferenceEquals(board, solved.Board);
        var network = sameBoard ? solved.Network.WithoutSinks() : ThermalNetwork.Assemble(board, raster, cancellationToken);
        var parts = sameBoard ? solved.Parts.Under(conditions) : PartAttachments.Attach(network, conditions);
        NetworkExtent before = NetworkExtent.Of(solved.Network), after = NetworkExtent.Of(network);
        if (before != after) return null;
        double[] gain = Gain(network, parts, conditions, solved.Rise, conditions.AmbientCelsius - solved.Conditions.AmbientCelsius);
        var worth = new double[adjoints.Count];
        Parallel.For(0, worth.Length, new ParallelOptions { CancellationToken = cancellationToken }, reading =>
        {
            double[] adjoint = adjoints[reading];
            double sum = 0;
            for (int unknown = 0; unknown < gain.Length; unknown++) sum += gain[unknown] * adjoint[unknown];
            worth[reading] = sum - (sameBoard ? 0 : Inner(solved.Network, network, solved.Rise, adjoint));
        });
        return worth;
    }

    /// <summary>W into each unknown from heat, less what films, contacts, rim and links to ambient take, under other conditions at the solved field.</summary>
    internal static double[] Gain(SolvedNetwork solved, Conditions conditions) =>
        Gain(solved.Network, solved.Parts.Under(conditions), conditions, solved.Rise, conditions.AmbientCelsius - solved.Conditions.AmbientCelsius);

    /// <summary>W into each unknown from heat, less what films, contacts, rim and links to ambient take.</summary>
    private static double[] Gain(ThermalNetwork network, PartAttachments parts, Conditions conditions, double[] rise, double warmer)
    {
        double[] over = [.. rise.Select(kelvin => kelvin - warmer)], flows = new double[rise.Length], gain = new double[rise.Length];
        new OuterFaces(network, conditions).AddFlows(over, flows);
        new RimFilm(network, conditions.EdgesFilm).AddFlows(over, flows);
        for (int node = 0; node < network.Grid.NodeCount; node++) flows[network.Grid.CellCount + node] += network.Grid.NodeToSink[node] * over[network.Grid.CellCount + node];
        parts.AddHeat(gain);
        for (int unknown = 0; unknown < gain.Length; unknown++) gain[unknown] -= flows[unknown];
        return gain;
    }

    /// <summary>λ·ΔK·T over all links that the change made stronger or weaker.</summary>
    private static double Inner(ThermalNetwork before, ThermalNetwork after, double[] rise, double[] adjoint)
    {
        int columns = after.Raster.Grid.Columns, plane = after.PlaneCount;
        double sum = 0;
        Add(before.Grid.East, after.Grid.East, 1);
        Add(before.Grid.North, after.Grid.North, columns);
        Add(before.Grid.Below, after.Grid.Below, plane);
        return sum + NodeLinks(after, rise, adjoint) - NodeLinks(before, rise, adjoint);

        void Add(float[] former, float[] now, int step)
        {
            for (int cell = 0; cell < now.Length; cell++)
            {
                if (now[cell] != former[cell]) sum += ((double)now[cell] - former[cell]) * (rise[cell] - rise[cell + step]) * (adjoint[cell] - adjoint[cell + step]);
            }
        }
    }

    private static double NodeLinks(ThermalNetwork network, double[] rise, double[] adjoint)
    {
        double sum = 0;
        int first = network.Grid.CellCount;
        foreach (var link in network.Grid.NodeCellLinks) sum += link.Conductance * (rise[first + link.Node] - rise[link.Cell]) * (adjoint[first + link.Node] - adjoint[link.Cell]);
        foreach (var link in network.Grid.NodeNodeLinks) sum += link.Conductance * (rise[first + link.First] - rise[first + link.Second]) * (adjoint[first + link.First] - adjoint[first + link.Second]);
        return sum;
    }

    private readonly record struct NetworkExtent(BoardGrid Grid, int Sheets, int Nodes)
    {
        public static NetworkExtent Of(ThermalNetwork network) => new(network.Raster.Grid, network.Grid.Sheets, network.Grid.NodeCount);
    }
}
