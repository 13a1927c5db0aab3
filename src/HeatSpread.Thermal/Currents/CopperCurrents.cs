using HeatSpread.Boards;
using HeatSpread.Solver;
using HeatSpread.Thermal.Network;

namespace HeatSpread.Thermal.Currents;

/// <summary>All currents of a board's conditions, and the heat that they make at the temperatures of a field.</summary>
internal sealed class CopperCurrents
{
    /// <summary>Cells of one net's window beyond which it is not divided any finer.</summary>
    private const long MostCells = 2_000_000;

    /// <summary>Cells finer than this tell no more of whether copper is joined, m.</summary>
    private const double FinestPitch = 50e-6;

    private readonly ThermalNetwork _network;
    private readonly Conditions _conditions;
    private readonly NetCurrents[] _nets;
    private readonly SolverResources _resources;
    private readonly CancellationToken _cancellationToken;

    private CopperCurrents(ThermalNetwork network, Conditions conditions, NetCurrents[] nets, SolverResources resources, CancellationToken cancellationToken) =>
        (_network, _conditions, _nets, _resources, _cancellationToken) = (network, conditions, nets, resources, cancellationToken);

    /// <summary>Draws the copper of every net that carries current; null where none does.</summary>
    /// <exception cref="ThermalSolveException">Terminals that the copper does not join: every one of them is told.</exception>
    public static CopperCurrents? Prepare(ThermalNetwork network, Conditions conditions, SolverResources resources, CancellationToken cancellationToken)
    {
        if (conditions.Currents.Count == 0) return null;
        var faults = new List<Fault>();
        var nets = conditions.Currents.Index().GroupBy(c => c.Item.Net).Select(group => PrepareNet(network, [.. group.Select(c => (c.Index, c.Item))], faults, cancellationToken)).ToArray();
        if (faults.Count > 0) throw new ThermalSolveException("The copper does not join the terminals of a current.") { Faults = faults };
        return new CopperCurrents(network, conditions, nets, resources, cancellationToken);
    }

    /// <summary>Solves all currents at a field's temperatures.</summary>
    /// <param name="rise">K over ambient, of each unknown of the temperature field.</param>
    /// <param name="heat">Receives W into each unknown; cleared first.</param>
    public void Solve(double[] rise, double[] heat)
    {
        Array.Clear(heat);
        foreach (var net in _nets)
        {
            var copper = net.Copper;
            net.Solve(cell => _conditions.AmbientCelsius + rise[Unknown(copper, cell)], (direction, first, second, watts) => Spread(copper, direction, first, second, watts, heat), _resources, _cancellationToken);
        }
    }

    /// <summary>What was found last.</summary>
    public CurrentField Read()
    {
        var share = _network.Raster.BoardShareArray;
        var maps = _network.Board.Layers.Select(_ => share.Select(s => s > 0 ? 0 : float.NaN).ToArray()).ToArray();
        var readings = new CurrentReading[_conditions.Currents.Count];
        foreach (var net in _nets)
        {
            var (peak, at) = (0.0, 0);
            for (int cell = 0; cell < net.Copper.CellCount; cell++)
            {
                double density = net.Density(cell);
                if (density == 0) continue;
                ref float shown = ref maps[net.Copper.LayerOf(cell)][net.Copper.ThermalCell(cell)];
                shown = Math.Max(shown, (float)(density * 1e-6)); // stays NaN where that cell is no board
                if (density > peak) (peak, at) = (density, cell);
            }
            for (int i = 0; i < net.Indices.Length; i++)
            {
                readings[net.Indices[i]] = new CurrentReading(net.DropVolts[i], net.WattsOf(i), peak, net.Copper.LayerOf(at), net.Copper.Middle(at));
            }
        }
        return new CurrentField { Readings = readings, LayerAmpsPerMm2 = maps };
    }

    private static NetCurrents PrepareNet(ThermalNetwork network, IReadOnlyList<(int Index, DirectCurrent Current)> currents, List<Fault> faults, CancellationToken cancellationToken)
    {
        var (board, net) = (network.Board, currents[0].Current.Net);
        var window = NetWindow.Of(board, net, network.Raster.Grid, MostCells);
        while (true)
        {
            var copper = NetCopper.Build(board, net, window, cancellationToken);
            var conductors = new Conductors(copper, board, [.. currents.Select(c => c.Current)]);
            var paths = new CopperPaths(copper, conductors.Pads.Values);
            bool isJoined = !currents.Any(c => CurrentGaps.Any(conductors, paths, c.Current));
            bool isFinest = window.CellCount * 4 > MostCells || Math.Min(copper.Grid.PitchX, copper.Grid.PitchY) < 2 * FinestPitch;
            // A way may be too narrow for the cells: it is looked for on finer ones before it is said to be missing.
            if (isJoined || isFinest)
            {
                var gaps = new CurrentGaps(board, copper, conductors, paths);
                foreach (var (index, current) in currents)
                {
                    faults.AddRange(gaps.Of(index, current));
                    if (conductors.At(current.From[0]) == conductors.At(current.To[0]))
                        faults.Add(new Fault($"/currents/{index}/to", "Its `from` and its `to` are one conductor, since currents of this net name them together at one of their ends: nothing can flow between them."));
                }
                return new NetCurrents(copper, currents, conductors, paths);
            }
            window = window.Divided(window.Refinement * 2);
        }
    }

    private int Unknown(NetCopper copper, int cell) =>
        _network.Stack.CentreOfRow(_network.Board.Layers[copper.LayerOf(cell)].Row) * _network.PlaneCount + copper.ThermalCell(cell);

    /// <summary>In the plane half at either end; of a barrel to the sheets that it passes, by their thickness.</summary>
    private void Spread(NetCopper copper, LinkDirection direction, int first, int second, double watts, double[] heat)
    {
        if (direction != LinkDirection.Below)
        {
            heat[Unknown(copper, first)] += watts / 2;
            heat[Unknown(copper, second)] += watts / 2;
            return;
        }
        int upper = _network.Stack.CentreOfRow(_network.Board.Layers[copper.LayerOf(first)].Row), lower = _network.Stack.CentreOfRow(_network.Board.Layers[copper.LayerOf(second)].Row);
        double length = copper.GapLength[first / copper.PlaneCount];
        for (int sheet = upper; sheet <= lower; sheet++)
        {
            double passed = _network.Stack.Sheets[sheet].Thickness / (sheet == upper || sheet == lower ? 2 : 1);
            heat[sheet * _network.PlaneCount + copper.ThermalCell(first)] += watts * passed / length;
        }
    }
}
