using HeatSpread.Solver;

namespace HeatSpread.Thermal.Currents;

/// <summary>
/// The potential of all currents of one net at once: each conductor is one unknown that takes in or gives off the sum of its currents. One conductor of each connected piece is the zero. It begins each
/// solve from the last one.
/// </summary>
internal sealed class NetPotential
{
    private const double Tolerance = 1e-10, Required = 1e-8;

    private const int Zero = -1;

    private readonly Conductors _conductors;
    private readonly double[] _injected; // A into each conductor
    private readonly int[] _node; // of each conductor in the solver's system; Zero where it is a piece's zero
    private readonly double[] _unknowns; // cells, then conductors

    /// <param name="copper">Of the net.</param>
    /// <param name="conductors">Its currents' terminals.</param>
    /// <param name="paths">Which of them hang together.</param>
    /// <param name="injected">A into each conductor; they add up to 0 in each connected piece.</param>
    public NetPotential(NetCopper copper, Conductors conductors, CopperPaths paths, double[] injected)
    {
        (_conductors, _injected) = (conductors, injected);
        int[] pieces = paths.PiecesOf(conductors);
        int nodes = 0;
        _node = [.. Enumerable.Range(0, conductors.Count).Select(conductor => Array.IndexOf(pieces, pieces[conductor]) == conductor ? Zero : nodes++)];
        _unknowns = new double[copper.CellCount + nodes];
        Volts = new double[copper.CellCount];
    }

    /// <summary>V of each cell; 0 where no current comes.</summary>
    public double[] Volts { get; }

    /// <summary>V of a conductor.</summary>
    public double VoltsOf(int conductor) => _node[conductor] == Zero ? 0 : _unknowns[Volts.Length + _node[conductor]];

    /// <exception cref="ThermalSolveException">Not converged.</exception>
    /// <exception cref="OperationCanceledException">As the token asks.</exception>
    public void Solve(NetConductances conductances, SolverResources resources, CancellationToken cancellationToken)
    {
        int cells = Volts.Length;
        var grid = conductances.NewGrid(_unknowns.Length - cells);
        var heat = new double[_unknowns.Length];
        conductances.ForEach((direction, first, second, conductance) => Put(grid, direction, first, second, (float)(conductance / Outside(direction, first, second))));
        for (int conductor = 0; conductor < _node.Length; conductor++)
        {
            if (_node[conductor] != Zero) heat[cells + _node[conductor]] = _injected[conductor];
        }
        using (var solver = MultigridSolver.Prepare(grid, resources, cancellationToken))
        {
            var report = solver.Solve(heat, _unknowns, new SolveSettings(Tolerance), progress: null, cancellationToken);
            if (report.Status == SolveStatus.Cancelled) throw new OperationCanceledException(cancellationToken);
            if (!(report.RelativeResidual <= Required)) throw new ThermalSolveException($"The potential in the copper was not found: {report.RelativeResidual:g2} of the current is unbalanced after {report.Iterations} iterations.");
        }
        for (int cell = 0; cell < cells; cell++) Volts[cell] = _conductors.Of[cell] == Conductors.None ? _unknowns[cell] : VoltsOf(_conductors.Of[cell]);
    }

    /// <summary>A through a link from its first to its second cell.</summary>
    public double Flow(LinkDirection direction, int first, int second, float conductance) => conductance / Outside(direction, first, second) * (Volts[first] - Volts[second]);

    /// <summary>Share of a link that does not lie on a pad: the rest alone resists.</summary>
    private double Outside(LinkDirection direction, int first, int second)
    {
        if (_conductors.Of[first] == _conductors.Of[second]) return 1;
        var (atFirst, atSecond) = _conductors.Inside(direction, first);
        return 1 - atFirst - atSecond;
    }

    private void Put(ConductanceGrid grid, LinkDirection direction, int first, int second, float conductance)
    {
        int one = _conductors.Of[first], other = _conductors.Of[second];
        if (one == Conductors.None && other == Conductors.None)
        {
            float[] links = direction switch { LinkDirection.East => grid.East, LinkDirection.North => grid.North, _ => grid.Below };
            links[first] = conductance;
        }
        else if (one == Conductors.None) ToConductor(first, _node[other]);
        else if (other == Conductors.None) ToConductor(second, _node[one]);
        else if (one != other) Between(_node[one], _node[other]);

        void ToConductor(int cell, int node)
        {
            if (node == Zero) grid.ToSink[cell] += conductance;
            else grid.NodeCellLinks.Add(new NodeCellLink(node, cell, conductance));
        }

        void Between(int a, int b)
        {
            if (a == Zero) grid.NodeToSink[b] += conductance;
            else if (b == Zero) grid.NodeToSink[a] += conductance;
            else grid.NodeNodeLinks.Add(new NodeNodeLink(a, b, conductance));
        }
    }
}
