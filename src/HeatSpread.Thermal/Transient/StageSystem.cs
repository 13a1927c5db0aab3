using HeatSpread.Solver;
using HeatSpread.Thermal.Boundary;
using HeatSpread.Thermal.Network;

namespace HeatSpread.Thermal.Transient;

/// <summary>
/// The equations of one implicit stage: <c>(C/d + G + S) δ = r</c>, with the heat capacities C, the board's conductances G, the films' tangents S and a time d. Where films depend on temperature
/// what their tangents miss is put right by further solves on the same hierarchy (the chord form of Newton's method).
/// </summary>
internal sealed class StageSystem : IDisposable
{
    /// <summary>Relative residual of a stage; what it leaves is not put right by later steps.</summary>
    private const double Tolerance = 1e-7;

    /// <summary>Share of a stage's heat that films may miss.</summary>
    private const double FilmsRequired = 1e-5;

    private const int MostCorrections = 12;

    private readonly ThermalNetwork _network;
    private readonly double[] _capacities;
    private readonly OuterFaces _faces;
    private readonly RimFilm _rim;
    private readonly bool _followsFilms;
    private readonly SolverResources _resources;
    private readonly double[] _tangents;
    private MultigridSolver? _solver;
    private double _seconds;

    /// <param name="solved">The network; its steady state tells the tangents where they are to stay.</param>
    /// <param name="capacities">J/K of each unknown.</param>
    /// <param name="followsFilms">Films that depend on temperature are followed; else their tangents at the steady state are used.</param>
    /// <param name="capacity">Cores and memory.</param>
    public StageSystem(SolvedNetwork solved, double[] capacities, bool followsFilms, SolveCapacity capacity)
    {
        _network = solved.Network;
        _capacities = capacities;
        _followsFilms = followsFilms && !solved.Faces.IsLinear;
        _faces = _followsFilms ? new OuterFaces(solved.Network, solved.Conditions) : solved.Faces;
        _rim = solved.Rim;
        _resources = capacity.Resources;
        _tangents = new double[_network.Grid.CellCount];
        if (!_followsFilms) TakeTangents();
    }

    /// <summary>Unknowns: cells, then nodes.</summary>
    public int Count => _capacities.Length;

    public IReadOnlyList<double> Capacities => _capacities;

    /// <summary>Systems solved so far, and hierarchies set up.</summary>
    public int Solves { get; private set; }

    public int SetUps { get; private set; }

    /// <summary>What films, contacts and rim take from each unknown at a field, W.</summary>
    public double[] Flows(double[] field)
    {
        var flows = new double[Count];
        _faces.AddFlows(field, flows);
        _rim.AddFlows(field, flows);
        return flows;
    }

    /// <summary>Makes ready for stages of a time; films that depend on temperature get their tangents at a field.</summary>
    public void Prepare(double seconds, double[] field, CancellationToken cancellationToken)
    {
        if (_followsFilms)
        {
            _faces.Relinearise(field);
            TakeTangents();
        }
        else if (seconds == _seconds)
        {
            return;
        }
        var grid = _network.Grid;
        var toSink = new float[grid.CellCount];
        for (int i = 0; i < toSink.Length; i++) toSink[i] = (float)(_tangents[i] + _capacities[i] / seconds);
        double[] nodeToSink = [.. grid.NodeToSink.Select((conductance, node) => conductance + _capacities[grid.CellCount + node] / seconds)];
        _solver?.Dispose();
        _solver = MultigridSolver.Prepare(grid.WithSinks(toSink, nodeToSink), _resources, cancellationToken);
        _seconds = seconds;
        SetUps++;
    }

    /// <summary>Solves one stage.</summary>
    /// <param name="right">W into each unknown; spoilt.</param>
    /// <param name="from">The field that the stage's change adds to.</param>
    /// <param name="change">K: first guess on entry, the change on return.</param>
    /// <param name="cancellationToken">Ends it.</param>
    /// <returns>False where the films did not settle: a shorter step will do.</returns>
    public bool Solve(double[] right, double[] from, double[] change, CancellationToken cancellationToken)
    {
        SolveLinear(right, change, Tolerance, cancellationToken);
        if (!_followsFilms) return true;
        double scale = right.Sum(Math.Abs);
        double[] before = Flows(from), missed = new double[Count], correction = new double[Count];
        for (int pass = 0; pass < MostCorrections; pass++)
        {
            double[] after = Flows([.. from.Zip(change, (a, b) => a + b)]);
            double left = 0;
            for (int i = 0; i < Count; i++)
            {
                double now = after[i] - before[i] - (i < _tangents.Length ? _tangents[i] * change[i] : 0);
                right[i] = missed[i] - now;
                missed[i] = now;
                left += Math.Abs(right[i]);
            }
            if (left <= FilmsRequired * scale) return true;
            Array.Clear(correction);
            SolveLinear(right, correction, 1e-3, cancellationToken);
            for (int i = 0; i < Count; i++) change[i] += correction[i];
        }
        return false;
    }

    /// <summary>A rough solve with the tangents alone, from zero.</summary>
    public double[] Smooth(double[] right, CancellationToken cancellationToken)
    {
        var field = new double[Count];
        SolveLinear(right, field, 1e-2, cancellationToken);
        return field;
    }

    public void Dispose() => _solver?.Dispose();

    private void SolveLinear(double[] right, double[] field, double tolerance, CancellationToken cancellationToken)
    {
        var report = _solver!.Solve(right, field, new SolveSettings(tolerance), progress: null, cancellationToken);
        ThermalSolve.Check(report, Math.Max(tolerance, 1e-6), _network, cancellationToken);
        Solves++;
    }

    private void TakeTangents()
    {
        Array.Clear(_tangents);
        _faces.Add(_tangents, new double[Count]);
        _rim.Add(_tangents);
    }
}
