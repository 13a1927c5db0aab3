using HeatSpread.Boards;
using HeatSpread.Solver;
using HeatSpread.Thermal.Boundary;
using HeatSpread.Thermal.Coupling;
using HeatSpread.Thermal.Network;

namespace HeatSpread.Thermal;

/// <summary>
/// A board's network with its field, still able to solve. It holds the solver's hierarchy, some hundred bytes an unknown: keep it as long as there is something to
/// ask, and the <see cref="TemperatureField"/> for good; disposing hands the memory to the next solve on the same <see cref="SolveCapacity"/>. Films that depend on temperature are held as their tangents. Many threads may ask at once.
/// </summary>
public sealed class SolvedNetwork : IDisposable
{
    private const int BytesPerUnknown = 160;

    internal SolvedNetwork(ThermalNetwork network, Conditions conditions, PartAttachments parts, OuterFaces faces, RimFilm rim, CoupledHeat? coupled, MultigridSolver solver, double[] rise, SolveFigures figures)
    {
        (Network, Conditions, Parts, Faces, Rim, Coupled) = (network, conditions, parts, faces, rim, coupled);
        (Solver, Rise, Figures) = (solver, rise, figures);
    }

    public Conditions Conditions { get; }

    public SolveFigures Figures { get; }

    public Board Board => Network.Board;

    public CopperRaster Raster => Network.Raster;

    /// <summary>Memory held, about: network, field and the solver's hierarchy.</summary>
    public long BytesHeld => (long)Network.Grid.CellCount * BytesPerUnknown;

    /// <summary>Heat made in a part, W.</summary>
    public double WattsOf(int part) => Parts.Watts[part];

    /// <summary>Films linear in the temperature, and neither heat nor conductivities that depend on it: what is computed from the tangents is then exact.</summary>
    public bool IsLinear => Faces.IsLinear && Coupled is null && !Network.DependsOnTemperature;

    /// <summary>Neither heat nor conductivities depend on temperature, so that adjoints tell all of a small change, films that depend on temperature among it.</summary>
    public bool HasWholeAdjoint => Coupled is null && !Network.DependsOnTemperature;

    /// <summary>K over ambient of a reading whose weights add up to 1.</summary>
    public double RiseOf(LinearReading reading)
    {
        ArgumentNullException.ThrowIfNull(reading);
        return reading.On(Rise);
    }

    internal ThermalNetwork Network { get; }

    internal PartAttachments Parts { get; }

    internal OuterFaces Faces { get; }

    internal RimFilm Rim { get; }

    /// <summary>Heat that depends on temperature, as put into the last pass; null: none.</summary>
    internal CoupledHeat? Coupled { get; }

    /// <summary>Of the network whose films are the tangents of the last pass.</summary>
    internal MultigridSolver Solver { get; }

    /// <summary>K over ambient of each unknown: cells, then nodes.</summary>
    internal double[] Rise { get; }

    /// <summary>Temperatures, part figures and heat balance.</summary>
    public TemperatureField Read() => FieldReading.Read(this);

    /// <summary>A part's temperatures alone.</summary>
    public PartTemperatures ReadPart(int part) => FieldReading.Part(this, part);

    /// <summary>K over ambient of each cell of a stack row at its centre, <c>[row * Columns + column]</c>; 0 outside the board.</summary>
    public ReadOnlySpan<double> RowRise(int row) => RowOf(row, Rise);

    /// <summary>The cells of a stack row, at its centre, of a vector over all unknowns.</summary>
    public ReadOnlySpan<double> RowOf(int row, ReadOnlySpan<double> vector) => vector.Slice(UnknownOf(row, 0), Network.PlaneCount);

    /// <summary>The unknown at the centre of a stack row in a cell of the plan.</summary>
    public int UnknownOf(int row, int cell) => Network.Stack.CentreOfRow(row) * Network.PlaneCount + cell;

    /// <summary>The hottest node of a part, or the hottest cell under it where it has no network: what <see cref="PartTemperatures.MaxCelsius"/> reads in this field.</summary>
    public LinearReading HottestOf(int part)
    {
        int nodes = Board.Parts[part].Network?.Nodes.Count ?? 0;
        if (nodes == 0) return LinearReading.Of(FieldReading.HottestUnder(Parts, part, Rise));
        return LinearReading.Of(Enumerable.Range(0, nodes).Select(node => Parts.Unknown(part, node)).MaxBy(unknown => Rise[unknown]));
    }

    /// <summary>The unknowns of which the hottest is what <see cref="PartTemperatures.MaxCelsius"/> reads: the part's nodes, or the cells under it where it has no network.</summary>
    public IReadOnlyList<int> PlacesOf(int part)
    {
        int nodes = Board.Parts[part].Network?.Nodes.Count ?? 0;
        return nodes == 0 ? FieldReading.PlacesUnder(Parts, part) : [.. Enumerable.Range(0, nodes).Select(node => Parts.Unknown(part, node))];
    }

    /// <summary>Of all unknowns: cells, then nodes.</summary>
    public ReadOnlySpan<double> RiseOfAll => Rise;

    /// <summary>
    /// Fields of other heats on this network, whose films are held as their tangents: where all is linear, the field of any watts and sinks is the ambient and a sum of such fields.
    /// </summary>
    /// <param name="sources">Of each field: W of each part, in the board's order, then K over the ambient of each contact's sink, in the conditions' order.</param>
    /// <param name="cancellationToken">Ends it.</param>
    /// <returns>K over the ambient of each unknown, one array a field.</returns>
    /// <exception cref="OperationCanceledException">As the token asks.</exception>
    /// <exception cref="ThermalSolveException">Not converged, or heat in a piece of the network that has no way out.</exception>
    public double[][] Fields(IReadOnlyList<double[]> sources, CancellationToken cancellationToken)
    {
        ArgumentNullException.ThrowIfNull(sources);
        double[][] heats = [.. sources.Select(HeatOf)], fields = [.. heats.Select(heat => new double[heat.Length])];
        var settings = new SolveSettings(ThermalSolve.Tolerance);
        var reports = heats.Length == 1 ? [Solver.Solve(heats[0], fields[0], settings, progress: null, cancellationToken)] : Solver.Solve(heats, fields, settings, cancellationToken);
        foreach (var report in reports) ThermalSolve.Check(report, ThermalSolve.Required, Network, cancellationToken);
        return fields;
    }

    private double[] HeatOf(double[] source)
    {
        int parts = Board.Parts.Count;
        ArgumentOutOfRangeException.ThrowIfNotEqual(source.Length, parts + Conditions.Contacts.Count);
        var heat = new double[Rise.Length];
        for (int part = 0; part < parts; part++)
        {
            if (source[part] == 0) continue;
            var entry = Parts.HeatEntry(part);
            for (int i = 0; i < entry.Unknowns.Count; i++) heat[entry.Unknowns[i]] += source[part] * entry.Weights[i];
        }
        Faces.AddContactHeat(source.AsSpan(parts), heat);
        return heat;
    }

    /// <summary>What a part's watts add to a reading, K.</summary>
    /// <param name="adjoint">Of the reading.</param>
    /// <param name="part">Index.</param>
    public double RiseFrom(ReadOnlySpan<double> adjoint, int part)
    {
        double rise = 0;
        if (Board.Parts[part].Network is { } inner)
        {
            for (int node = 0; node < inner.Nodes.Count; node++) rise += inner.HeatShares[node] * adjoint[Parts.Unknown(part, node)];
        }
        else
        {
            foreach (var (footprint, share) in Parts.HeatedBoard(part)) rise += share * footprint.Mean(adjoint);
        }
        return rise * Parts.Watts[part];
    }

    /// <summary>The mean over a terminal's pad.</summary>
    public LinearReading MeanOf(int part, int terminal)
    {
        var footprint = Parts.Terminals[part][terminal];
        return new(footprint.Cells, footprint.Weights);
    }

    /// <summary>
    /// Where a part's heat enters: its nodes by their shares of the heat, or its pads (its body without any) by area. A watt in the part is a watt spread as these weights.
    /// </summary>
    public LinearReading HeatEntryOf(int part) => Parts.HeatEntry(part);

    /// <summary>
    /// Solves for the adjoint of a reading: K of the reading per watt in each unknown. The network is symmetric, so it is the field of one watt spread as the reading's weights.
    /// </summary>
    /// <returns>Over all unknowns: cells, then nodes; 0 where there is no board.</returns>
    /// <exception cref="OperationCanceledException">As the token asks.</exception>
    /// <exception cref="ThermalSolveException">Not converged, or the reading is of a piece of the network that has no way out for heat.</exception>
    public double[] Adjoint(LinearReading reading, CancellationToken cancellationToken) => Adjoints([reading], cancellationToken)[0];

    /// <summary>As <see cref="Adjoint"/> for many readings, at less than the cost of one after the other.</summary>
    /// <returns>One a reading.</returns>
    /// <exception cref="OperationCanceledException">As the token asks.</exception>
    /// <exception cref="ThermalSolveException">As <see cref="Adjoint"/>.</exception>
    public double[][] Adjoints(IReadOnlyList<LinearReading> readings, CancellationToken cancellationToken) => Adjoints(Solver, Network, readings, cancellationToken);

    /// <summary>As the other one, to a given relative residual: what only ranks may be rough.</summary>
    public double[][] Adjoints(IReadOnlyList<LinearReading> readings, double tolerance, CancellationToken cancellationToken) => Adjoints(Solver, Network, readings, cancellationToken, tolerance);

    /// <summary>What the field changes by under small changes of heat, along the films' tangents.</summary>
    /// <param name="heats">W into each unknown, one array a change.</param>
    /// <param name="cancellationToken">Ends it.</param>
    /// <returns>K of each unknown, one array a change.</returns>
    /// <exception cref="OperationCanceledException">As the token asks.</exception>
    /// <exception cref="ThermalSolveException">Not converged, or heat in a piece of the network that has no way out.</exception>
    internal double[][] Responses(IReadOnlyList<double[]> heats, CancellationToken cancellationToken) => Responses(Solver, Network, heats, ThermalSolve.Tolerance, cancellationToken);

    /// <summary>On another solver of the network, as of other films.</summary>
    internal static double[][] Adjoints(MultigridSolver solver, ThermalNetwork network, IReadOnlyList<LinearReading> readings, CancellationToken cancellationToken, double tolerance = ThermalSolve.Tolerance)
    {
        ArgumentNullException.ThrowIfNull(readings);
        double[][] heats = [.. readings.Select(_ => new double[network.Grid.CellCount + network.Grid.NodeCount])];
        for (int i = 0; i < heats.Length; i++) readings[i].AddTo(heats[i]);
        return Responses(solver, network, heats, tolerance, cancellationToken);
    }

    private static double[][] Responses(MultigridSolver solver, ThermalNetwork network, IReadOnlyList<double[]> heats, double tolerance, CancellationToken cancellationToken)
    {
        double[][] fields = [.. heats.Select(heat => new double[heat.Length])];
        var settings = new SolveSettings(tolerance);
        var reports = heats.Count == 1 ? [solver.Solve(heats[0], fields[0], settings, progress: null, cancellationToken)] : solver.Solve(heats, fields, settings, cancellationToken);
        foreach (var report in reports) ThermalSolve.Check(report, Math.Max(tolerance, ThermalSolve.Required), network, cancellationToken);
        return fields;
    }

    public void Dispose() => Solver.Dispose();
}
