using HeatSpread.Solver.Kernels;
using HeatSpread.Solver.Multigrid;

namespace HeatSpread.Solver;

/// <summary>
/// One solve: rounds of conjugate gradients in single precision, each correcting the field in double (mixed-precision iterative refinement, Wilkinson
/// 1963), until the true residual, taken in double, is small enough.
/// </summary>
internal sealed unsafe class Refinement
{
    /// <summary>
    /// The single-precision residual is trusted over this fall, then replaced by the true one, which costs as much as an iteration. At a million unknowns and below falls from 0.03 to 0.0003 take the same iterations, and so fewer
    /// replacements. Roundings grow with the network: at 7 million 0.003 took 23 iterations, 0.03 took 20.
    /// </summary>
    private const double LeastTrustedFall = 0.0008, MostTrustedFall = 0.03;

    /// <summary>As <see cref="LeastTrustedFall"/>, where there are nodes: with 0.0008 the hardest of 150 networks of parts takes 30 iterations, with this 26.</summary>
    private const double TrustedFallOfNodes = 0.003;

    /// <summary>Up to which these hold; beyond it they grow as their square.</summary>
    private const double FewUnknowns = 1.2e6;

    /// <summary>As <see cref="LeastTrustedFall"/>, where there are several clusters: what ties them together shows in the offsets alone.</summary>
    private const double TrustedFallOfClusters = 0.03;

    /// <summary>As <see cref="LeastTrustedFall"/>, on a hierarchy that was built for other links to the sink: what differs shows in the true residual alone.</summary>
    private const double TrustedFallElsewhere = 0.1;

    /// <summary>Share of the heat that the sink may bring in without being told from the rest.</summary>
    private const double MostBrought = 0.01;

    /// <summary>Of the heat, what the residual is compared with at least: less would ask for more than double precision holds.</summary>
    private const double LeastScale = 1e-5;

    /// <summary>Iterations without a new least residual after which a round ends.</summary>
    private const int Patience = 40;

    /// <summary>Cells whose heat is added up together.</summary>
    private const int CellsOfSum = 1 << 13;

    private readonly PreparedSystem _system;
    private readonly Workspace _workspace;
    private readonly ThreadTeam _team;
    private readonly SolveSettings _settings;
    private readonly IProgress<(int Iteration, double RelativeResidual)>? _progress;
    private readonly CancellationToken _cancellationToken;
    private readonly double* _heat, _temperature;
    private readonly int _unknowns;
    private readonly ConjugateGradient? _gradients;

    /// <summary>Of each row what flows to the sink, W, without the offset.</summary>
    private readonly double[] _rowFlow;

    /// <summary>Of each row of each sheet, sheet by sheet: whether any of its cells is heated. Few are, and the others' heat need not be read again.</summary>
    private readonly bool[] _isHeated;
    private double[] _offset = [];
    private double _heatIn;

    /// <summary>As it is before the first correction of a field that was not guessed: most of what follows from the temperatures needs no reading of them then.</summary>
    private bool _isZero;
    private int _iterations, _rounds;
    private double _residual = double.NaN;

    public Refinement(PreparedSystem system, Workspace workspace, ThreadTeam team, double* heat, double* temperature, SolveSettings settings, IProgress<(int Iteration, double RelativeResidual)>? progress, CancellationToken cancellationToken)
    {
        (_system, _workspace, _team, _settings, _progress, _cancellationToken) = (system, workspace, team, settings, progress, cancellationToken);
        _heat = heat;
        _temperature = temperature;
        _unknowns = system.Grid.CellCount + system.Grid.NodeCount;
        _rowFlow = new double[system.Network.Rows];
        _isHeated = new bool[system.Network.Rows * system.Network.Sheets];
        if (system.Hierarchy.Levels.Length > 0) _gradients = new(system.Hierarchy, workspace, team);
    }

    private ReadOnlySpan<double> Heat => new(_heat, _unknowns);

    private Span<double> Temperature => new(_temperature, _unknowns);

    public SolveReport Run()
    {
        try
        {
            return Rounds();
        }
        catch (OperationCanceledException) when (_cancellationToken.IsCancellationRequested)
        {
            // Thrown by a loop that was left in its middle: the balance would take longer than a caller who gave up is to wait.
            return MultigridSolver.Report(SolveStatus.Cancelled, _iterations, _residual, double.NaN, double.NaN);
        }
    }

    private SolveReport Rounds()
    {
        var heatNorm = MeasureHeat();
        _isZero = IsEverywhere(guess => !guess.ContainsAnyExcept(0.0));
        if (!double.IsFinite(heatNorm) || !(_isZero || IsEverywhere(VectorKernels.AllFinite))) return MultigridSolver.Report(SolveStatus.BadSystem, 0, double.NaN, double.NaN, double.NaN);
        if (heatNorm == 0)
        {
            Temperature.Clear();
            return MultigridSolver.Report(SolveStatus.Converged, 0, 0, 0, 0);
        }

        // What one thread does with all unknowns is soon done, but not so soon that a caller may wait for all of it.
        _cancellationToken.ThrowIfCancellationRequested();
        _offset = _isZero ? new double[_system.Clusters.Count + 1] : _system.Clusters.TakeOffsets(Temperature);
        _cancellationToken.ThrowIfCancellationRequested();
        var clusterHeat = _system.Clusters.HeatOf(Heat, _heatIn);
        if (!_isZero) SumFlows();
        var last = double.PositiveInfinity;
        while (true)
        {
            _system.Clusters.Balance(clusterHeat, Temperature, _rowFlow.Sum(), _offset);
            var norm = TakeTrueResidual();
            var scale = Scale(heatNorm);
            _residual = norm / scale;
            if (EndStatus(norm, last, scale) is { } end)
            {
                AddOffsets();
                return Report(end, _residual);
            }

            last = norm;
            _rounds++;
            if (_gradients == null) CorrectDirectly(norm / scale);
            else Correct(_gradients, scale);
            _isZero = false;
        }
    }

    /// <returns>The norm of the heat, W; no finite number where some heat is none, or is so large that its square is none.</returns>
    private double MeasureHeat()
    {
        var columns = _system.Network.Columns;
        // Sums are of so many rows each, whatever the number of threads, so that it changes no bit of them.
        var together = Math.Max(1, CellsOfSum / columns);
        var blocks = (_isHeated.Length + together - 1) / together;
        double[] sums = new double[blocks], squares = new double[blocks];
        _team.ForRows(blocks, together * columns, (from, to) =>
        {
            for (var k = from * together; k < Math.Min(to * together, _isHeated.Length); k++)
            {
                var row = Heat.Slice(k * columns, columns);
                if (!(_isHeated[k] = row.ContainsAnyExcept(0.0))) continue;
                sums[k / together] += VectorKernels.Sum(row);
                squares[k / together] += VectorKernels.Dot(row, row);
            }
        });
        var nodes = Heat[(_isHeated.Length * columns)..];
        _heatIn = sums.Sum() + VectorKernels.Sum(nodes);
        return Math.Sqrt(squares.Sum() + VectorKernels.Dot(nodes, nodes));
    }

    /// <summary>Of the temperatures, stretch by stretch.</summary>
    private bool IsEverywhere(Func<ReadOnlySpan<double>, bool> isOfStretch) => _team.Sum(_unknowns, (from, to) => isOfStretch(Temperature[from..to]) ? 0 : 1) == 0;

    private void SumFlows() => _team.ForRows(_rowFlow.Length, _system.Network.Columns * _system.Network.Sheets, (from, to) =>
    {
        for (var row = from; row < to; row++) SumFlow(row);
    });

    /// <summary>Where one offset holds for all cells, it is set by what flows to the sink.</summary>
    private void SumFlow(int row)
    {
        if (_system.Clusters.IsOne) _rowFlow[row] = FlowToSink(row);
    }

    private double FlowToSink(int row)
    {
        var sum = 0.0;
        for (var s = 0; s < _system.Network.Sheets; s++) sum += TrueResidual.FlowToSink(_system.Network, _temperature, s, row);
        return sum;
    }

    /// <summary>With what the residual is compared, W.</summary>
    private double Scale(double heatNorm)
    {
        if (_settings.HeatMade is not { } made || made >= (1 - MostBrought) * heatNorm) return heatNorm;
        var toSink = _system.Network.ToSink;
        var sum = 0.0;
        for (var i = 0; i < _unknowns; i++)
        {
            var conductance = i < toSink.Length ? toSink[i] : _system.Grid.NodeToSink[i - toSink.Length];
            var passing = _heat[i] - (conductance > 0 ? conductance * (_temperature[i] + _system.Clusters.OffsetOf(i, _offset)) : 0);
            sum += passing * passing;
        }

        return Math.Max(Math.Max(made, Math.Sqrt(sum)), LeastScale * heatNorm);
    }

    /// <summary>
    /// What the first correction leaves, rounded to single precision as it is, may be more than what was there before it where all heat goes a long way, as along a strip of thousands of cells; what is left then goes
    /// short ways, and the next corrections find it. So the first one proves nothing.
    /// </summary>
    private SolveStatus? EndStatus(double norm, double last, double scale) =>
        norm <= _settings.Tolerance * scale ? SolveStatus.Converged
        : !double.IsFinite(norm) ? SolveStatus.BadSystem
        : _iterations >= _settings.MaximumIterations ? SolveStatus.IterationLimit
        : _rounds > 1 && norm > 0.5 * last ? SolveStatus.Stagnated
        : null;

    /// <summary>With the balance of the field as it now is.</summary>
    private SolveReport Report(SolveStatus status, double residual)
    {
        var network = _system.Network;
        var flow = new double[network.Rows];
        _team.ForRows(network.Rows, network.Columns * network.Sheets, (from, to) =>
        {
            for (var row = from; row < to; row++) flow[row] = FlowToSink(row);
        });
        var heatOut = flow.Sum();
        var nodeToSink = _system.Grid.NodeToSink;
        for (var i = 0; i < nodeToSink.Length; i++) heatOut += nodeToSink[i] * _temperature[_unknowns - nodeToSink.Length + i];
        return MultigridSolver.Report(status, _iterations, residual, _heatIn, heatOut);
    }

    private void AddOffsets() => _team.ForRows(_system.Network.Rows * _system.Network.Sheets, _system.Network.Columns, (from, to) =>
    {
        // The last one's are the nodes too.
        int first = from * _system.Network.Columns, end = to == _system.Network.Rows * _system.Network.Sheets ? _unknowns : to * _system.Network.Columns;
        _system.Clusters.Add(Temperature[first..end], first, _offset);
    });

    /// <summary>The residual goes to the workspace: red cells as the finest level's right-hand side, the rest as the conjugate gradients' residual.</summary>
    private double TakeTrueResidual()
    {
        var network = _system.Network;
        var rowSum = new double[network.Rows];
        _team.ForRows(network.Rows, network.Columns * network.Sheets, (from, to) =>
        {
            var row = new double[network.Columns];
            var narrow = new float[network.Columns];
            fixed (double* r = row)
            {
                fixed (float* f = narrow)
                {
                    for (var y = from; y < to; y++) rowSum[y] = TakeRow(y, r, f);
                }
            }
        });
        var nodes = _workspace.Residual.Nodes;
        _system.Links.TakeNodeResiduals(Heat, Temperature, nodes);
        _system.Clusters.AddNodeFlows(_offset, nodes);
        return Math.Sqrt(nodes.Sum(r => r * r) + rowSum.Sum());
    }

    private double TakeRow(int row, double* residual, float* narrow)
    {
        var network = _system.Network;
        var sum = 0.0;
        for (var s = 0; s < network.Sheets; s++)
        {
            var offset = _system.Clusters.IsOne ? _offset[0] : 0;
            if (_isZero) TakeRowAtZero(s, row, offset, residual);
            else TrueResidual.Row(network, IsHeated(s, row) ? _heat : null, _temperature, offset, s, row, residual);
            _system.Clusters.AddFlows(s, row, _offset, new(residual, network.Columns));
            _system.Links.AddFlows(s, row, Temperature, new(residual, network.Columns));
            sum += TransferKernels.NarrowWithSquares(narrow, residual, network.Columns);
            Deliver(s, row, residual, narrow);
        }

        return sum;
    }

    private bool IsHeated(int sheet, int row) => _isHeated[(sheet * _system.Network.Rows) + row];

    /// <summary>Where all temperatures are 0, nothing flows but to the sink.</summary>
    private void TakeRowAtZero(int sheet, int row, double offset, double* residual)
    {
        var network = _system.Network;
        var own = new Span<double>(residual, network.Columns);
        if (IsHeated(sheet, row)) Heat.Slice((sheet * network.SheetStride) + (row * network.RowStride), network.Columns).CopyTo(own);
        else own.Clear();
        TrueResidual.SubtractSink(network, _temperature, offset, sheet, row, residual);
    }

    private void Deliver(int sheet, int row, double* residual, float* narrow)
    {
        int columns = _system.Network.Columns;
        if (_gradients == null)
        {
            new Span<double>(residual, columns).CopyTo(_workspace.CoarsestRhs.AsSpan(_system.Hierarchy.Coarsest.Index(sheet, row, 0)));
            return;
        }

        var shape = _system.Hierarchy.Levels[0].Shape;
        float* red = _workspace.Levels[0].Rhs[0].Pointer, black = _workspace.Residual.Cells.Pointer;
        int at = shape.RowStart(row) + (sheet * shape.Half);
        var redFirst = Shape.Parity(0, row) == 0;
        TransferKernels.Split((redFirst ? red : black) + at, (redFirst ? black : red) + at, narrow, columns);
    }

    private double TrustedFall
    {
        get
        {
            if (_system.Clusters.Count > 1) return TrustedFallOfClusters;
            var least = _system.Grid.NodeCount > 0 ? TrustedFallOfNodes : LeastTrustedFall;
            return Math.Clamp(least * Math.Pow(_unknowns / FewUnknowns, 2), least, MostTrustedFall);
        }
    }

    /// <summary>How far the residual is to fall in a round, where it has yet to fall so far in all: as few rounds as are trusted, of equal falls.</summary>
    private double FallOfRound(double toFall) => !_system.HasOwnHierarchy ? Math.Max(toFall, TrustedFallElsewhere) : Math.Pow(toFall, 1 / Math.Max(1, Math.Ceiling(Math.Log(toFall) / Math.Log(TrustedFall))));

    private void Correct(ConjugateGradient gradients, double scale)
    {
        gradients.Start();
        var target = gradients.ResidualNorm * FallOfRound(0.7 * _settings.Tolerance * scale / gradients.ResidualNorm);
        double least = gradients.ResidualNorm;
        for (int sinceLeast = 0; gradients.ResidualNorm > target && sinceLeast < Patience && _iterations < _settings.MaximumIterations;)
        {
            var went = gradients.Step();
            if (!went) break;
            Tell(gradients.ResidualNorm / scale);
            sinceLeast = gradients.ResidualNorm < 0.99 * least ? 0 : sinceLeast + 1;
            least = Math.Min(least, gradients.ResidualNorm);
        }

        gradients.AddCorrection(_temperature, SumFlow);
    }

    private void Tell(double relativeResidual)
    {
        _iterations++;
        _progress?.Report((_iterations, relativeResidual));
    }

    private void CorrectDirectly(double relativeResidual)
    {
        var coarsest = _system.Hierarchy.Coarsest;
        _workspace.Residual.Nodes.CopyTo(_workspace.CoarsestRhs, coarsest.Cells);
        coarsest.Solve(_workspace.CoarsestRhs, _workspace.CoarsestX, _workspace.CoarsestWork);
        for (var i = 0; i < _unknowns; i++) _temperature[i] += _workspace.CoarsestX[i];
        SumFlows();
        Tell(relativeResidual);
    }
}
