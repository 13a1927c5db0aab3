using HeatSpread.Solver;
using HeatSpread.Thermal.Boundary;
using HeatSpread.Thermal.Network;

namespace HeatSpread.Thermal;

/// <summary>
/// One solve where the films are linear; else Newton's method on them, each pass from the last field, no closer than the next pass can use (inexact Newton, Dembo, Eisenstat and
/// Steihaug 1982), and on the hierarchy of an earlier pass where the tangents changed little.
/// </summary>
internal sealed class FilmPasses(ThermalNetwork network, PartAttachments parts, OuterFaces faces, RimFilm rim, SolverResources resources)
{
    /// <summary>Of the first pass where films depend on temperature: its tangents are a first guess.</summary>
    private const double FirstPassTolerance = 1e-3;

    /// <summary>Share of the heat that films may miss.</summary>
    private const double FilmResidualRequired = 1e-8;

    /// <summary>Newton steps on films that depend on temperature; a handful is usual.</summary>
    private const int MaximumPasses = 30;

    /// <summary>Residuals of the films after each pass, as a share of the heat.</summary>
    public List<double> Residuals { get; } = [];

    /// <summary>Passes that set up a hierarchy.</summary>
    public int SetUps { get; private set; }

    /// <param name="field">Rises over ambient: first guess on entry, the field on return.</param>
    /// <param name="tolerance">Relative true residual to reach.</param>
    /// <param name="required">Relative true residual above which there is no answer.</param>
    /// <param name="progress">Told of the solver's iterations; may be null.</param>
    /// <param name="cancellationToken">Ends it.</param>
    /// <returns>The solver and report of the last pass, with the iterations of all.</returns>
    public (MultigridSolver Solver, SolveReport Report) Run(double[] field, double tolerance, double required, IProgress<(int Iteration, double RelativeResidual)>? progress, CancellationToken cancellationToken)
    {
        faces.LineariseAtEvenRise(parts.Watts.Sum(), rim.Conductance);
        MultigridSolver? solver = null;
        int iterations = 0;
        double asked = faces.IsLinear ? tolerance : Math.Max(tolerance, FirstPassTolerance);
        while (true)
        {
            var heat = HeatAndSinks();
            var former = solver;
            solver = SolverFor(former, cancellationToken);
            var report = solver.Solve(heat, field, new SolveSettings(asked), progress, cancellationToken);
            iterations += report.Iterations;
            if (former is not null && solver.SharesHierarchyWith(former) && report.Status is SolveStatus.Stagnated or SolveStatus.IterationLimit)
            {
                solver.Dispose();
                solver = Prepared(cancellationToken);
                report = solver.Solve(heat, field, new SolveSettings(asked), progress, cancellationToken);
                iterations += report.Iterations;
            }
            former?.Dispose();
            ThermalSolve.Check(report, Math.Max(asked, required), network, cancellationToken);
            report = report with { Iterations = iterations };
            if (faces.IsLinear) return (solver, report);
            Residuals.Add(faces.Relinearise(field));
            if (Residuals[^1] <= Math.Max(FilmResidualRequired, tolerance) && asked <= tolerance) return (solver, report);
            if (Residuals.Count == MaximumPasses)
            {
                throw new ThermalSolveException($"The films that depend on temperature did not settle in {MaximumPasses} passes; {Residuals[^1]:g2} of the heat was still unbalanced.");
            }
            // Newton's method squares the residual: more of the linear system than that would be work in vain.
            asked = Math.Clamp(0.1 * Residuals[^1] * Residuals[^1], tolerance, Math.Max(tolerance, FirstPassTolerance));
        }
    }

    /// <summary>Heat of all unknowns; the network's links to the sink are those of the films' tangents.</summary>
    private double[] HeatAndSinks()
    {
        var heat = new double[network.Grid.CellCount + network.Grid.NodeCount];
        Array.Clear(network.Grid.ToSink);
        parts.AddHeat(heat);
        faces.Add(network.Grid.ToSink, heat);
        rim.Add(network.Grid.ToSink);
        return heat;
    }

    private MultigridSolver SolverFor(MultigridSolver? former, CancellationToken cancellationToken)
    {
        if (former is null) return Prepared(cancellationToken);
        var solver = former.WithSinks((float[])network.Grid.ToSink.Clone(), cancellationToken);
        if (!solver.SharesHierarchyWith(former)) SetUps++;
        return solver;
    }

    /// <summary>Solvers of later passes must not see the links of this one change.</summary>
    private MultigridSolver Prepared(CancellationToken cancellationToken)
    {
        SetUps++;
        var grid = faces.IsLinear ? network.Grid : network.Grid.WithSinks((float[])network.Grid.ToSink.Clone());
        return MultigridSolver.Prepare(grid, resources, cancellationToken);
    }
}
