using HeatSpread.Boards;
using HeatSpread.Solver;

namespace HeatSpread.Thermal.Currents;

/// <summary>
/// The currents of one net, in one potential: with resistances that do not depend on the current each adds its own to the others'. What they lose together is the sum of amperes times drop.
/// </summary>
internal sealed class NetCurrents
{
    private readonly Conductors _conductors;
    private readonly NetPotential? _potential;
    private readonly DirectCurrent[] _currents;
    private readonly double[] _flow; // A through the links of each cell: east, north, below

    /// <param name="copper">Of the net.</param>
    /// <param name="currents">All currents of the net, with their places among the conditions' currents.</param>
    /// <param name="conductors">Where they enter and leave.</param>
    /// <param name="paths">Which of these the copper joins.</param>
    public NetCurrents(NetCopper copper, IReadOnlyList<(int Index, DirectCurrent Current)> currents, Conductors conductors, CopperPaths paths)
    {
        Copper = copper;
        Indices = [.. currents.Select(c => c.Index)];
        _currents = [.. currents.Select(c => c.Current)];
        _conductors = conductors;
        var injected = new double[conductors.Count];
        foreach (var current in _currents)
        {
            injected[conductors.At(current.From[0])] += current.Amperes;
            injected[conductors.At(current.To[0])] -= current.Amperes;
        }
        if (injected.Any(amperes => amperes != 0)) _potential = new NetPotential(copper, conductors, paths, injected);
        _flow = new double[3 * copper.CellCount];
        DropVolts = new double[currents.Count];
    }

    public NetCopper Copper { get; }

    /// <summary>Places among the conditions' currents.</summary>
    public int[] Indices { get; }

    /// <summary>V, one a current: from the conductor where it enters to that where it leaves.</summary>
    public double[] DropVolts { get; }

    /// <summary>W, one a current; negative for one that another current drives.</summary>
    public double WattsOf(int current) => _currents[current].Amperes * DropVolts[current];

    /// <summary>Solves at the temperatures of a field and adds what each link loses.</summary>
    /// <param name="celsiusOf">Temperature of a cell of the copper.</param>
    /// <param name="lose">Takes a link's direction, its first and second cell, and its loss, W.</param>
    /// <param name="resources">Cores and memory.</param>
    /// <param name="cancellationToken">Ends it.</param>
    public void Solve(Func<int, double> celsiusOf, Action<LinkDirection, int, int, double> lose, SolverResources resources, CancellationToken cancellationToken)
    {
        if (_potential is null) return;
        var conductances = new NetConductances(Copper, celsiusOf);
        _potential.Solve(conductances, resources, cancellationToken);
        Array.Clear(_flow);
        conductances.ForEach((direction, first, second, conductance) =>
        {
            double flow = _potential.Flow(direction, first, second, conductance);
            _flow[(int)direction * Copper.CellCount + first] = flow;
            if (flow != 0) lose(direction, first, second, flow * (_potential.Volts[first] - _potential.Volts[second]));
        });
        for (int i = 0; i < _currents.Length; i++) DropVolts[i] = _potential.VoltsOf(_conductors.At(_currents[i].From[0])) - _potential.VoltsOf(_conductors.At(_currents[i].To[0]));
    }

    /// <summary>Mean current density in the copper of a cell, A/m².</summary>
    public double Density(int cell)
    {
        double x = (Through(LinkDirection.East, cell, Copper.East, Copper.Grid.PitchX) + (cell % Copper.Grid.Columns > 0 ? Through(LinkDirection.East, cell - 1, Copper.East, Copper.Grid.PitchX) : 0)) / 2;
        bool hasLower = cell % Copper.PlaneCount >= Copper.Grid.Columns;
        double y = (Through(LinkDirection.North, cell, Copper.North, Copper.Grid.PitchY) + (hasLower ? Through(LinkDirection.North, cell - Copper.Grid.Columns, Copper.North, Copper.Grid.PitchY) : 0)) / 2;
        return double.Hypot(x, y);
    }

    /// <summary>Current over the copper's cross-section.</summary>
    private double Through(LinkDirection direction, int cell, float[] links, double pitch) =>
        links[cell] > 0 ? _flow[(int)direction * Copper.CellCount + cell] / (links[cell] * pitch) : 0;
}
