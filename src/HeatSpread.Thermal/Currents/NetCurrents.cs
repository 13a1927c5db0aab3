using HeatSpread.Boards;
using HeatSpread.Solver;

namespace HeatSpread.Thermal.Currents;

/// <summary>
/// The currents of one net. Each is solved by itself, with its own pads at one potential; potentials and current densities add up, and the loss is that of the summed density. So what
/// the currents lose together is the sum of amperes times drop, the drop of each taken in the summed potential.
/// </summary>
internal sealed class NetCurrents
{
    private readonly UnitPotential[] _potentials;
    private readonly DirectCurrent[] _currents;
    private readonly double[] _flow; // A through the links of each cell: east, north, below

    /// <param name="copper">Of the net.</param>
    /// <param name="currents">All currents of the net, with their places among the conditions' currents.</param>
    /// <param name="electrodes">One a current.</param>
    public NetCurrents(NetCopper copper, IReadOnlyList<(int Index, DirectCurrent Current)> currents, IReadOnlyList<Electrodes> electrodes)
    {
        Copper = copper;
        Indices = [.. currents.Select(c => c.Index)];
        _currents = [.. currents.Select(c => c.Current)];
        _potentials = [.. electrodes.Select(e => new UnitPotential(e))];
        _flow = new double[3 * copper.CellCount];
        DropVolts = new double[currents.Count];
    }

    public NetCopper Copper { get; }

    /// <summary>Places among the conditions' currents.</summary>
    public int[] Indices { get; }

    /// <summary>V, one a current.</summary>
    public double[] DropVolts { get; }

    /// <summary>W, one a current; negative for one that another current drives.</summary>
    public double WattsOf(int current) => _currents[current].Amperes * DropVolts[current];

    /// <summary>Solves at the temperatures of a field and adds what each link loses, half at either end.</summary>
    /// <param name="celsiusOf">Temperature of a cell of the copper.</param>
    /// <param name="lose">Takes a link's direction, its first and second cell, and its loss, W.</param>
    /// <param name="resources">Cores and memory.</param>
    /// <param name="cancellationToken">Ends it.</param>
    public void Solve(Func<int, double> celsiusOf, Action<LinkDirection, int, int, double> lose, SolverResources resources, CancellationToken cancellationToken)
    {
        var conductances = new NetConductances(Copper, celsiusOf);
        foreach (var (potential, current) in _potentials.Zip(_currents))
        {
            if (current.Amperes > 0) potential.Solve(conductances, resources, cancellationToken);
        }
        Array.Clear(_flow);
        Array.Clear(DropVolts);
        conductances.ForEach((direction, first, second, conductance) =>
        {
            double flow = 0;
            for (int i = 0; i < _potentials.Length; i++) flow += Scale(i) * _potentials[i].Flow(direction, first, second, conductance);
            _flow[(int)direction * Copper.CellCount + first] = flow;
            if (flow == 0) return;
            lose(direction, first, second, Loss(direction, first, second, conductance, flow));
        });
        for (int i = 0; i < _potentials.Length; i++) DropVolts[i] = Drop(i, conductances);
    }

    /// <summary>Mean current density in the copper of a cell, A/m².</summary>
    public double Density(int cell)
    {
        double x = (Through(LinkDirection.East, cell, Copper.East, Copper.Grid.PitchX) + (cell % Copper.Grid.Columns > 0 ? Through(LinkDirection.East, cell - 1, Copper.East, Copper.Grid.PitchX) : 0)) / 2;
        bool hasLower = cell % Copper.PlaneCount >= Copper.Grid.Columns;
        double y = (Through(LinkDirection.North, cell, Copper.North, Copper.Grid.PitchY) + (hasLower ? Through(LinkDirection.North, cell - Copper.Grid.Columns, Copper.North, Copper.Grid.PitchY) : 0)) / 2;
        return double.Hypot(x, y);
    }

    /// <summary>A through the barrels of a cell to the next copper layer.</summary>
    public double BarrelAmperes(int cell) => _flow[(int)LinkDirection.Below * Copper.CellCount + cell];

    /// <summary>Current over the copper's cross-section.</summary>
    private double Through(LinkDirection direction, int cell, float[] links, double pitch) =>
        links[cell] > 0 ? _flow[(int)direction * Copper.CellCount + cell] / (links[cell] * pitch) : 0;

    private double Scale(int i) => _currents[i].Amperes > 0 && _potentials[i].Amperes > 0 ? _currents[i].Amperes / _potentials[i].Amperes : 0;

    /// <summary>Of a link that lies in part on a pad: on the pad the pad's own currents do not flow in the copper.</summary>
    private double Loss(LinkDirection direction, int first, int second, float conductance, double flow)
    {
        double inside = 0, ownFlow = 0;
        for (int i = 0; i < _potentials.Length; i++)
        {
            var electrodes = _potentials[i].Electrodes;
            if (electrodes.Side[first] == electrodes.Side[second]) continue;
            var (atFirst, atSecond) = electrodes.Inside(direction, first);
            inside = Math.Max(inside, atFirst + atSecond);
            ownFlow += Scale(i) * _potentials[i].Flow(direction, first, second, conductance);
        }
        double others = flow - ownFlow;
        return ((1 - inside) * flow * flow + inside * others * others) / conductance;
    }

    /// <summary>Mean of the summed potential where a current enters, less that where it leaves, by the current's own density there.</summary>
    private double Drop(int current, NetConductances conductances)
    {
        var (own, side) = (_potentials[current], _potentials[current].Electrodes.Side);
        if (Scale(current) == 0) return 0;
        double sum = 0;
        conductances.ForEach((direction, first, second, conductance) =>
        {
            if (side[first] == side[second]) return;
            double flow = own.Flow(direction, first, second, conductance) / own.Amperes;
            var (atFirst, atSecond) = own.Electrodes.Inside(direction, first);
            // At an electrode of entry what flows out of it counts, at one of exit what flows in is taken off: the same sign by the link's direction.
            if (side[first] != 0) sum += flow * SummedVolts(direction, first, second, atFirst);
            if (side[second] != 0) sum -= flow * SummedVolts(direction, first, second, 1 - atSecond);
        });
        return sum;
    }

    /// <summary>The summed potential on a link, V; on a pad of a current its part is even.</summary>
    private double SummedVolts(LinkDirection direction, int first, int second, double along)
    {
        double sum = 0;
        for (int i = 0; i < _potentials.Length; i++)
        {
            if (Scale(i) == 0) continue;
            var (volts, electrodes) = (_potentials[i].Volts, _potentials[i].Electrodes);
            var (atFirst, atSecond) = electrodes.Side[first] == electrodes.Side[second] ? (0, 0) : electrodes.Inside(direction, first);
            double share = Math.Clamp((along - atFirst) / (1 - atFirst - atSecond), 0, 1);
            sum += Scale(i) * (volts[first] + share * (volts[second] - volts[first]));
        }
        return sum;
    }
}
