using HeatSpread.Solver;

namespace HeatSpread.Thermal.Currents;

/// <summary>The potential of one current alone, with 1 V where it enters and 0 V where it leaves. It begins each solve from the last one.</summary>
internal sealed class UnitPotential(Electrodes electrodes)
{
    private const double Tolerance = 1e-10, Required = 1e-8;

    public Electrodes Electrodes { get; } = electrodes;

    /// <summary>V of each cell; 0 where the current does not come.</summary>
    public double[] Volts { get; } = new double[electrodes.Side.Length];

    /// <summary>A that 1 V drives.</summary>
    public double Amperes { get; private set; }

    /// <exception cref="ThermalSolveException">Not converged.</exception>
    /// <exception cref="OperationCanceledException">As the token asks.</exception>
    public void Solve(NetConductances conductances, SolverResources resources, CancellationToken cancellationToken)
    {
        var side = Electrodes.Side;
        var grid = conductances.NewGrid();
        var heat = new double[side.Length];
        conductances.ForEach((direction, first, second, conductance) =>
        {
            if (side[first] == 0 && side[second] == 0) Put(grid, direction, first, conductance);
            else if (side[first] == 0) ToElectrode(first, second);
            else if (side[second] == 0) ToElectrode(second, first);

            void ToElectrode(int cell, int electrode)
            {
                float outside = (float)(conductance / Outside(direction, first, second));
                grid.ToSink[cell] += outside;
                if (side[electrode] > 0) heat[cell] += outside;
            }
        });
        for (int cell = 0; cell < side.Length; cell++)
        {
            if (side[cell] != 0) Volts[cell] = 0;
        }
        // Where every cell on the way is part of a pad there is nothing to solve.
        if (Array.Exists(heat, h => h != 0))
        {
            using var solver = MultigridSolver.Prepare(grid, resources, cancellationToken);
            var report = solver.Solve(heat, Volts, new SolveSettings(Tolerance), progress: null, cancellationToken);
            if (report.Status == SolveStatus.Cancelled) throw new OperationCanceledException(cancellationToken);
            if (!(report.RelativeResidual <= Required)) throw new ThermalSolveException($"The potential in the copper was not found: {report.RelativeResidual:g2} of the current is unbalanced after {report.Iterations} iterations.");
        }
        for (int cell = 0; cell < side.Length; cell++)
        {
            if (side[cell] != 0) Volts[cell] = Math.Max((sbyte)0, side[cell]);
        }
        double amperes = 0;
        conductances.ForEach((direction, first, second, conductance) =>
        {
            if (side[first] > 0 != side[second] > 0) amperes += (side[first] > 0 ? 1 : -1) * Flow(direction, first, second, conductance);
        });
        Amperes = amperes;
    }

    /// <summary>A through a link from its first to its second cell, per volt between the electrodes.</summary>
    public double Flow(LinkDirection direction, int first, int second, float conductance) =>
        conductance / Outside(direction, first, second) * (Volts[first] - Volts[second]);

    /// <summary>Share of a link that does not lie on one of the current's pads.</summary>
    private double Outside(LinkDirection direction, int first, int second)
    {
        if (Electrodes.Side[first] == Electrodes.Side[second]) return 1;
        var (atFirst, atSecond) = Electrodes.Inside(direction, first);
        return 1 - atFirst - atSecond;
    }

    private static void Put(ConductanceGrid grid, LinkDirection direction, int cell, float conductance)
    {
        float[] links = direction switch { LinkDirection.East => grid.East, LinkDirection.North => grid.North, _ => grid.Below };
        links[cell] = conductance;
    }
}
