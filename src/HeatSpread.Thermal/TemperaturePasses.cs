using System.Buffers;
using HeatSpread.Solver;
using HeatSpread.Thermal.Boundary;
using HeatSpread.Thermal.Coupling;
using HeatSpread.Thermal.Network;

namespace HeatSpread.Thermal;

/// <summary>
/// One solve where nothing depends on temperature. Else one iteration for all that does, each pass from the last field: Newton's method on the films, fixed-point steps on the heat and the
/// conductivities. A pass is solved no closer than the next one can use (inexact Newton, Dembo, Eisenstat and Steihaug 1982), and on the hierarchy of an earlier pass where the tangents changed little.
/// </summary>
internal sealed class TemperaturePasses(ThermalNetwork network, PartAttachments parts, OuterFaces faces, RimFilm rim, CoupledHeat? coupled, double ambientCelsius, SolverResources resources)
{
    /// <summary>Of the first pass where anything depends on temperature: its tangents and heat are a first guess.</summary>
    private const double FirstPassTolerance = 1e-3;

    /// <summary>Share of the heat that films may miss.</summary>
    private const double FilmResidualRequired = 1e-8;

    /// <summary>Share of the heat by which heat that depends on temperature may differ from what was put in.</summary>
    private const double HeatResidualRequired = 1e-7;

    /// <summary>Share by which a conductivity that depends on temperature may differ from the one put in.</summary>
    private const double ConductivityRequired = 1e-6;

    /// <summary>Residual of the films above which heat and conductivities that depend on temperature are not yet computed anew: their first tangents may be far off.</summary>
    private const double FilmsBeforeHeat = 0.05;

    /// <summary>Heat below which nothing is worth a further pass.</summary>
    private const double LeastWatts = 1e-9;

    /// <summary>A handful is usual; some dozens where conductivities fall steeply.</summary>
    private const int MaximumPasses = 150;

    /// <summary>Copper is liquid, °C.</summary>
    private const double PastAnyBoard = 1085;

    private bool _hasOtherLinks;

    private bool IsLinear => faces.IsLinear && coupled is null && !network.DependsOnTemperature;

    private double Watts => parts.Watts.Sum() + (coupled?.CopperWatts ?? 0);

    /// <summary>Residuals of the films after each pass, as a share of the heat.</summary>
    public List<double> Residuals { get; } = [];

    /// <summary>Passes that set up a hierarchy.</summary>
    public int SetUps { get; private set; }

    /// <summary>The first guess is the field of much the same board: films that depend on temperature begin with their tangents there.</summary>
    public bool StartsNear { get; init; }

    /// <summary>Of the same links inside the board: its hierarchy is taken where the sinks are near; it is not disposed of here. Null: none.</summary>
    public MultigridSolver? Near { get; init; }

    /// <summary>Of a network much like this one: what its set-up found out need not be searched again. It may be disposed of. Null: none.</summary>
    public MultigridSolver? Like { get; init; }

    /// <param name="field">Rises over ambient: first guess on entry, the field on return.</param>
    /// <param name="tolerance">Relative true residual to reach.</param>
    /// <param name="required">Relative true residual above which there is no answer.</param>
    /// <param name="progress">Told of the solver's iterations; may be null.</param>
    /// <param name="cancellationToken">Ends it.</param>
    /// <returns>The solver and report of the last pass, with the iterations of all.</returns>
    public (MultigridSolver Solver, SolveReport Report) Run(double[] field, double tolerance, double required, IProgress<(int Iteration, double RelativeResidual)>? progress, CancellationToken cancellationToken)
    {
        // Lent: the first touch of so much fresh memory would take longer than the rest of what is done with it.
        double[] lent = ArrayPool<double>.Shared.Rent(field.Length);
        try
        {
            return Run(field, lent.AsMemory(0, field.Length), tolerance, required, progress, cancellationToken);
        }
        finally
        {
            ArrayPool<double>.Shared.Return(lent);
        }
    }

    private (MultigridSolver Solver, SolveReport Report) Run(
        double[] field, Memory<double> heat, double tolerance, double required, IProgress<(int Iteration, double RelativeResidual)>? progress, CancellationToken cancellationToken)
    {
        if (StartsNear) faces.Relinearise(field);
        else faces.LineariseAtEvenRise(Watts, rim.Conductance);
        var solver = Near;
        int iterations = 0;
        double asked = IsLinear || (StartsNear && Near is null) ? tolerance : Math.Max(tolerance, FirstPassTolerance);
        for (int pass = 1; ; pass++)
        {
            double? made = PutHeatAndSinks(heat.Span);
            var former = solver;
            solver = SolverFor(former, cancellationToken);
            var report = solver.Solve(heat.Span, field, new SolveSettings(asked) { HeatMade = made }, progress, cancellationToken);
            iterations += report.Iterations;
            if (former is not null && solver.SharesHierarchyWith(former) && report.Status is SolveStatus.Stagnated or SolveStatus.IterationLimit)
            {
                solver.Dispose();
                solver = Prepared(cancellationToken);
                report = solver.Solve(heat.Span, field, new SolveSettings(asked) { HeatMade = made }, progress, cancellationToken);
                iterations += report.Iterations;
            }
            if (former != Near) former?.Dispose();
            ThermalSolve.Check(report, Math.Max(asked, required), network, cancellationToken);
            report = report with { Iterations = iterations };
            if (IsLinear) return (solver, report);
            if (!faces.IsLinear) Residuals.Add(faces.Relinearise(field));
            double films = Residuals.LastOrDefault(), change = HeatChange(field, films, tolerance), conduction = ConductivityChange(field, films, tolerance, cancellationToken);
            bool isSettled = films <= Math.Max(FilmResidualRequired, tolerance) && change <= Math.Max(HeatResidualRequired, tolerance) && conduction <= Math.Max(ConductivityRequired, tolerance);
            if (isSettled && asked <= tolerance) return (solver, report);
            if (pass == MaximumPasses) throw NotSettled(field, films + change + conduction);
            // Newton's method squares the residual, and heat and conductivities take a step of a third or less: more of the linear system than that would be work in vain.
            asked = isSettled ? tolerance : Math.Clamp(Math.Max(0.1 * films * films, 0.02 * Math.Max(change, conduction)), tolerance, Math.Max(tolerance, FirstPassTolerance));
        }
    }

    /// <summary>Where conductivities fall with temperature and the field left all that a board survives, the conditions are at fault, not the solver.</summary>
    private ThermalSolveException NotSettled(double[] field, double unbalanced)
    {
        string text = $"What depends on temperature did not settle in {MaximumPasses} passes; {unbalanced:g2} of the heat was still unbalanced.";
        double hottest = ambientCelsius + field.Max();
        return network.DependsOnTemperature && hottest > PastAnyBoard
            ? new(FormattableString.Invariant($"{text} The hottest place had passed {hottest:0} °C, where no material's law holds: look for a wrong unit of watts, films or `perKelvin`.")) { IsRunaway = true }
            : new(text);
    }

    /// <summary>Takes the next step of heat that depends on temperature; by how much it differs from what was put in, as a share of all heat.</summary>
    private double HeatChange(double[] field, double films, double tolerance)
    {
        if (coupled is null) return 0;
        if (films > FilmsBeforeHeat) return 1;
        double watts = Math.Max(Watts, LeastWatts);
        return coupled.Update(field, Math.Max(HeatResidualRequired, tolerance) * watts) / watts;
    }

    /// <summary>Takes the conductivities at a field's temperatures; the greatest change of one, as a share of it.</summary>
    private double ConductivityChange(double[] field, double films, double tolerance, CancellationToken cancellationToken)
    {
        if (!network.DependsOnTemperature) return 0;
        if (films > FilmsBeforeHeat) return 1;
        double required = Math.Max(ConductivityRequired, tolerance), change = network.ApproachTemperatures(field, ambientCelsius, required, cancellationToken);
        if (change <= required) return change;
        _hasOtherLinks = true;
        return change;
    }

    /// <summary>Heat of all unknowns; the network's links to the sink are those of the films' tangents.</summary>
    /// <param name="heat">In the end W into each unknown.</param>
    /// <returns>2-norm of what is not brought in by contacts, W; null where that is all.</returns>
    private double? PutHeatAndSinks(Span<double> heat)
    {
        heat.Clear();
        parts.AddHeat(heat);
        coupled?.AddHeat(heat);
        return faces.Put(network.Grid, rim, heat);
    }

    private MultigridSolver SolverFor(MultigridSolver? former, CancellationToken cancellationToken)
    {
        if (former is null || _hasOtherLinks) return Prepared(cancellationToken);
        var solver = former.WithSinks((float[])network.Grid.ToSink.Clone(), cancellationToken);
        if (!solver.SharesHierarchyWith(former)) SetUps++;
        return solver;
    }

    /// <summary>Solvers of later passes must not see the links of this one change.</summary>
    private MultigridSolver Prepared(CancellationToken cancellationToken)
    {
        SetUps++;
        _hasOtherLinks = false;
        var grid = IsLinear ? network.Grid : network.Grid.WithSinks((float[])network.Grid.ToSink.Clone());
        return Like is null ? MultigridSolver.Prepare(grid, resources, cancellationToken) : MultigridSolver.PrepareLike(Like, grid, resources, cancellationToken);
    }
}
