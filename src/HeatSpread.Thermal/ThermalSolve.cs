using System.Diagnostics;
using System.Globalization;
using HeatSpread.Boards;
using HeatSpread.Solver;
using HeatSpread.Thermal.Boundary;
using HeatSpread.Thermal.Converters;
using HeatSpread.Thermal.Coupling;
using HeatSpread.Thermal.Currents;
using HeatSpread.Thermal.Network;

namespace HeatSpread.Thermal;

/// <summary>From raster and conditions to the solved network.</summary>
public static class ThermalSolve
{
    /// <summary>Relative true residual that the solver is asked for.</summary>
    public const double Tolerance = 1e-9;

    /// <summary>
    /// Relative true residual above which there is no answer. Very hot metal under very weak films cannot do better than a few times
    /// <see cref="Tolerance"/>, as the rounding of its temperatures is heat.
    /// </summary>
    internal const double Required = 1e-8;

    /// <summary>Sheets of cells that a board's stack is computed with: its rows, thick dielectric ones sliced. Times the cells of the plan it is the size of a solve.</summary>
    public static int SheetCount(Board board)
    {
        ArgumentNullException.ThrowIfNull(board);
        return new StackSheets(board).Sheets.Count;
    }

    /// <summary>Assembles the network and solves it.</summary>
    /// <param name="board">The board.</param>
    /// <param name="conditions">What surrounds it.</param>
    /// <param name="raster">The copper of <paramref name="board"/>.</param>
    /// <param name="threads">Threads to use, at least 1.</param>
    /// <param name="progress">Told of the solver's iterations; may be null.</param>
    /// <param name="cancellationToken">Ends it.</param>
    /// <exception cref="OperationCanceledException">As the token asks.</exception>
    /// <exception cref="ThermalSolveException">No field exists or none was found: no way out for heat, or not converged.</exception>
    public static SolvedNetwork Run(
        Board board, Conditions conditions, CopperRaster raster, int threads, IProgress<(int Iteration, double RelativeResidual)>? progress, CancellationToken cancellationToken) =>
        Run(board, conditions, raster, new SolveCapacity(threads), Tolerance, progress, cancellationToken);

    /// <summary>Assembles the network and solves it.</summary>
    /// <param name="board">The board.</param>
    /// <param name="conditions">What surrounds it.</param>
    /// <param name="raster">The copper of <paramref name="board"/>.</param>
    /// <param name="capacity">Cores and memory, shared with other solves.</param>
    /// <param name="tolerance">Relative true residual to reach, 1e-9 to 1e-3.</param>
    /// <param name="progress">Told of the solver's iterations; may be null.</param>
    /// <param name="cancellationToken">Ends it.</param>
    /// <exception cref="OperationCanceledException">As the token asks.</exception>
    /// <exception cref="ThermalSolveException">No field exists or none was found: no way out for heat, or not converged.</exception>
    public static SolvedNetwork Run(
        Board board, Conditions conditions, CopperRaster raster, SolveCapacity capacity, double tolerance, IProgress<(int Iteration, double RelativeResidual)>? progress, CancellationToken cancellationToken)
    {
        ArgumentNullException.ThrowIfNull(capacity);
        ArgumentOutOfRangeException.ThrowIfLessThan(tolerance, Tolerance);
        ArgumentOutOfRangeException.ThrowIfGreaterThan(tolerance, 1e-3);
        ArgumentNullException.ThrowIfNull(board);
        ArgumentNullException.ThrowIfNull(conditions);
        ArgumentNullException.ThrowIfNull(raster);
        try
        {
            return RunOnce(board, conditions, raster, capacity, tolerance, progress, cancellationToken);
        }
        catch (ThermalSolveException runaway) when (runaway.IsRunaway && conditions.Converter is not null)
        {
            throw StableLoad.Explain(runaway, conditions, tried => RunOnce(board, tried, raster, capacity, StableLoad.Tolerance, progress: null, cancellationToken));
        }
    }

    private static SolvedNetwork RunOnce(
        Board board, Conditions conditions, CopperRaster raster, SolveCapacity capacity, double tolerance, IProgress<(int Iteration, double RelativeResidual)>? progress, CancellationToken cancellationToken)
    {
        long start = Stopwatch.GetTimestamp();
        var network = ThermalNetwork.Assemble(board, raster, cancellationToken);
        if (network.DependsOnTemperature) network.TakeTemperatures(new double[network.Grid.CellCount + network.Grid.NodeCount], conditions.AmbientCelsius, cancellationToken);
        var parts = PartAttachments.Attach(network, conditions);
        var faces = new OuterFaces(network, conditions);
        var rim = new RimFilm(network, conditions.EdgesFilm);
        var coupled = Coupled(network, conditions, parts, capacity, cancellationToken);
        double assembleSeconds = Stopwatch.GetElapsedTime(start).TotalSeconds;
        start = Stopwatch.GetTimestamp();
        var field = new double[network.Grid.CellCount + network.Grid.NodeCount];
        var passes = new TemperaturePasses(network, parts, faces, rim, coupled, conditions.AmbientCelsius, capacity.Resources);
        var (solver, report) = passes.Run(field, tolerance, Math.Max(tolerance, Required), progress, cancellationToken);
        var figures = new SolveFigures(network.UnknownCount, report.Iterations, report.RelativeResidual, assembleSeconds, Stopwatch.GetElapsedTime(start).TotalSeconds) { FilmResiduals = passes.Residuals };
        return new SolvedNetwork(network, conditions, parts, faces, rim, coupled, solver, field, figures);
    }

    /// <summary>Solves the same board under other conditions, from a field of it; its network is not assembled again, and its hierarchy serves where the films are near.</summary>
    /// <param name="near">Solved before; it stays as it is.</param>
    /// <param name="conditions">What surrounds the board now.</param>
    /// <param name="capacity">Cores and memory, shared with other solves.</param>
    /// <param name="cancellationToken">Ends it.</param>
    /// <exception cref="OperationCanceledException">As the token asks.</exception>
    /// <exception cref="ThermalSolveException">No field exists or none was found.</exception>
    public static SolvedNetwork RunNear(SolvedNetwork near, Conditions conditions, SolveCapacity capacity, CancellationToken cancellationToken)
    {
        ArgumentNullException.ThrowIfNull(near);
        ArgumentNullException.ThrowIfNull(conditions);
        ArgumentNullException.ThrowIfNull(capacity);
        if (near.Network.DependsOnTemperature) return RunNear(near, near.Board, conditions, near.Raster, capacity, cancellationToken);
        return Solve(near.Network.WithoutSinks(), near.Parts.Under(conditions), conditions, near, near.Solver, capacity, cancellationToken);
    }

    /// <summary>Solves another board from a field of one much like it: of the same grid, stack and parts.</summary>
    /// <param name="near">Solved before; it stays as it is. Where its unknowns are others, its field is not used.</param>
    /// <param name="board">The board.</param>
    /// <param name="conditions">What surrounds it.</param>
    /// <param name="raster">Its copper.</param>
    /// <param name="capacity">Cores and memory, shared with other solves.</param>
    /// <param name="cancellationToken">Ends it.</param>
    /// <exception cref="OperationCanceledException">As the token asks.</exception>
    /// <exception cref="ThermalSolveException">No field exists or none was found.</exception>
    public static SolvedNetwork RunNear(SolvedNetwork near, Board board, Conditions conditions, CopperRaster raster, SolveCapacity capacity, CancellationToken cancellationToken)
    {
        ArgumentNullException.ThrowIfNull(near);
        ArgumentNullException.ThrowIfNull(conditions);
        ArgumentNullException.ThrowIfNull(capacity);
        var network = ThermalNetwork.Assemble(board, raster, cancellationToken);
        if (network.Grid.CellCount + network.Grid.NodeCount != near.Rise.Length || network.Raster.Grid != near.Raster.Grid) return Run(board, conditions, raster, capacity, Tolerance, progress: null, cancellationToken);
        network.TakeTemperatures(near.Rise, conditions.AmbientCelsius, cancellationToken);
        return Solve(network, PartAttachments.Attach(network, conditions, near.Parts), conditions, near, solver: null, capacity, cancellationToken);
    }

    private static SolvedNetwork Solve(
        ThermalNetwork network, PartAttachments parts, Conditions conditions, SolvedNetwork near, MultigridSolver? solver, SolveCapacity capacity, CancellationToken cancellationToken)
    {
        long start = Stopwatch.GetTimestamp();
        var faces = new OuterFaces(network, conditions);
        var rim = new RimFilm(network, conditions.EdgesFilm);
        var coupled = Coupled(network, conditions, parts, capacity, cancellationToken);
        double[] field = [.. near.Rise];
        var passes = new TemperaturePasses(network, parts, faces, rim, coupled, conditions.AmbientCelsius, capacity.Resources) { StartsNear = true, Near = solver, Like = near.Solver };
        var (solved, report) = passes.Run(field, Tolerance, Required, progress: null, cancellationToken);
        var figures = new SolveFigures(network.UnknownCount, report.Iterations, report.RelativeResidual, 0, Stopwatch.GetElapsedTime(start).TotalSeconds) { FilmResiduals = passes.Residuals };
        return new SolvedNetwork(network, conditions, parts, faces, rim, coupled, solved, field, figures);
    }

    /// <summary>Whether a board's temperatures are linear in its watts, its ambient and its sinks: films are given, and neither heat nor conductivities depend on temperature.</summary>
    public static bool IsLinear(Board board, Conditions conditions)
    {
        ArgumentNullException.ThrowIfNull(board);
        ArgumentNullException.ThrowIfNull(conditions);
        return conditions is { Top: FilmSurface, Bottom: FilmSurface, Converter: null, Currents.Count: 0 } && board.Rows.All(row => row.FillCurve is null && row.CopperCurve is null);
    }

    /// <summary>Heat that depends on temperature; null where none does.</summary>
    internal static CoupledHeat? Coupled(ThermalNetwork network, Conditions conditions, PartAttachments parts, SolveCapacity capacity, CancellationToken cancellationToken)
    {
        var currents = CopperCurrents.Prepare(network, conditions, capacity.Resources, cancellationToken);
        var converter = conditions.Converter is { } given ? new ConverterHeat(given, parts, network.Board, conditions.AmbientCelsius) : null;
        return CoupledHeat.Start(currents, converter, conditions.AmbientCelsius, network.Grid.CellCount + network.Grid.NodeCount);
    }

    /// <summary>Ends with an exception where a solve gave no field.</summary>
    /// <param name="report">What the solve says of itself.</param>
    /// <param name="required">Relative residual above which there is no field.</param>
    /// <param name="network">What was solved.</param>
    /// <param name="cancellationToken">What ended a solve that was cancelled.</param>
    internal static void Check(SolveReport report, double required, ThermalNetwork network, CancellationToken cancellationToken)
    {
        switch (report.Status)
        {
            case SolveStatus.Converged:
            case SolveStatus.Stagnated when report.RelativeResidual <= required:
                return;
            case SolveStatus.Cancelled:
                throw new OperationCanceledException(cancellationToken);
            case SolveStatus.Unbounded:
                throw new ThermalSolveException(IslandMessage(report, network)) { NoWayOut = true };
            default:
                throw new ThermalSolveException(
                    string.Create(
                        CultureInfo.InvariantCulture,
                        $"No temperature field was found: after {report.Iterations} iterations {report.RelativeResidual:g2} of the heat is unbalanced, and at most {Required:g1} may be. Conductivities, films, thicknesses or resistances many orders of magnitude apart can cause this; look for a wrong unit."));
        }
    }

    private static string IslandMessage(SolveReport report, ThermalNetwork network)
    {
        if (report.Islands.Count == 0) return "The heat has no way out.";
        int unknown = report.Islands[0];
        if (unknown >= network.Grid.CellCount) return "A part's inner network has heat but no way out of it.";
        var grid = network.Raster.Grid;
        var at = grid.Centre(unknown % network.PlaneCount % grid.Columns, unknown % network.PlaneCount / grid.Columns);
        return string.Create(
            CultureInfo.InvariantCulture,
            $"Heat has no way out of the piece of the board at x = {at.X * 1000:0.###} mm, y = {at.Y * 1000:0.###} mm: give a side, the edges, a contact or a part's link to ambient a conductance above zero.");
    }
}

/// <summary>A board that has no temperature field, or whose field was not found. The message is for the user.</summary>
public sealed class ThermalSolveException : Exception
{
    public ThermalSolveException()
    {
    }

    public ThermalSolveException(string message)
        : base(message)
    {
    }

    public ThermalSolveException(string message, Exception innerException)
        : base(message, innerException)
    {
    }

    /// <summary>True: the board and conditions allow no steady state (a user's fault). False: the solver failed.</summary>
    public bool NoWayOut { get; init; }

    /// <summary>True: heat that rises with temperature finds no steady state (a user's fault).</summary>
    public bool IsRunaway { get; init; }

    /// <summary>Of a converter that runs away: the greatest load, A, that was found to have a steady state; null: none, or no converter.</summary>
    public double? LastStableOutputAmperes { get; init; }

    /// <summary>Faults of the conditions that only the copper in its cells shows, with pointers into the conditions; empty where it is another failure.</summary>
    public IReadOnlyList<Fault> Faults { get; init; } = [];
}
