using HeatSpread.Solver.Multigrid;

namespace HeatSpread.Solver;

/// <summary>
/// One solve: rounds of conjugate gradients in single precision, each correcting the field in double (mixed-precision iterative refinement, Wilkinson
/// 1963), until the true residual, taken in double, is small enough.
/// </summary>
internal sealed unsafe class Refinement(PreparedSystem system, Workspace workspace, SolveSettings settings, IProgress<(int Iteration, double RelativeResidual)>? progress, CancellationToken cancellationToken)
{
    /// <summary>The single-precision residual is trusted over this fall, then replaced by the true one.</summary>
    private const double TrustedFall = 1e-3;

    /// <summary>Iterations without a new least residual after which a round ends.</summary>
    private const int Patience = 40;

    private readonly Hierarchy _hierarchy = system.Hierarchy;
    private readonly double[] _row = new double[system.Network.Columns];
    private int _iterations;

    public SolveReport Run(ReadOnlySpan<double> heat, Span<double> temperature)
    {
        var heatNorm = Norm(heat);
        if (heatNorm == 0)
        {
            temperature.Clear();
            return MultigridSolver.Report(SolveStatus.Converged, 0, 0, 0, 0);
        }

        var last = double.PositiveInfinity;
        while (true)
        {
            var norm = TakeTrueResidual(heat, temperature);
            var status = norm <= settings.Tolerance * heatNorm ? SolveStatus.Converged
                : cancellationToken.IsCancellationRequested ? SolveStatus.Cancelled
                : !double.IsFinite(norm) ? SolveStatus.BadSystem
                : _iterations >= settings.MaximumIterations ? SolveStatus.IterationLimit
                : norm > 0.5 * last ? SolveStatus.Stagnated
                : (SolveStatus?)null;
            if (status is { } end) return Report(end, norm / heatNorm, heat, temperature);
            last = norm;
            Correct(temperature, norm, heatNorm);
        }
    }

    private SolveReport Report(SolveStatus status, double residual, ReadOnlySpan<double> heat, ReadOnlySpan<double> temperature)
    {
        double heatIn = 0, heatOut = 0;
        foreach (var q in heat) heatIn += q;
        var toSink = system.Network.ToSink;
        for (var i = 0; i < toSink.Length; i++) heatOut += toSink[i] * temperature[i];
        var nodeToSink = system.Grid.NodeToSink;
        for (var i = 0; i < nodeToSink.Length; i++) heatOut += nodeToSink[i] * temperature[toSink.Length + i];
        return MultigridSolver.Report(status, _iterations, residual, heatIn, heatOut);
    }

    private static double Norm(ReadOnlySpan<double> values)
    {
        var sum = 0.0;
        foreach (var v in values) sum += v * v;
        return Math.Sqrt(sum);
    }

    /// <summary>The residual goes to the workspace: red cells as the finest level's right-hand side, the rest as the conjugate gradients' residual.</summary>
    private double TakeTrueResidual(ReadOnlySpan<double> heat, ReadOnlySpan<double> temperature)
    {
        var network = system.Network;
        var sum = system.Links.NodeResiduals(heat, temperature, workspace.Residual.Nodes);
        for (var row = 0; row < network.Rows; row++)
        {
            for (var s = 0; s < network.Sheets; s++)
            {
                TrueResidual.Row(network, heat, temperature, s, row, _row);
                system.Links.AddFlows(s, row, temperature, _row);
                foreach (var r in _row) sum += r * r;
                Deliver(s, row);
            }
        }

        return Math.Sqrt(sum);
    }

    private void Deliver(int sheet, int row)
    {
        if (_hierarchy.Levels.Length == 0)
        {
            for (var x = 0; x < _row.Length; x++) workspace.CoarsestRhs[_hierarchy.Coarsest.Index(sheet, row, x)] = _row[x];
            return;
        }

        var shape = _hierarchy.Levels[0].Shape;
        float* red = workspace.Levels[0].Rhs[0].Pointer, black = workspace.Residual.Cells.Pointer;
        int parity = Shape.Parity(0, row), at = shape.RowStart(row) + (sheet * shape.Half);
        for (var x = 0; x < _row.Length; x++) (((x ^ parity) & 1) == 0 ? red : black)[at + (x >> 1)] = (float)_row[x];
    }

    private void Correct(Span<double> temperature, double norm, double heatNorm)
    {
        if (_hierarchy.Levels.Length == 0)
        {
            CorrectDirectly(temperature);
            Tell(norm / heatNorm);
            return;
        }

        var gradients = new ConjugateGradient(_hierarchy, workspace, cancellationToken);
        gradients.BalanceRed(temperature);
        gradients.Start();
        var target = Math.Max(0.7 * settings.Tolerance * heatNorm, TrustedFall * gradients.ResidualNorm);
        double least = gradients.ResidualNorm;
        for (int sinceLeast = 0; gradients.ResidualNorm > target && sinceLeast < Patience && _iterations < settings.MaximumIterations;)
        {
            var went = gradients.Step();
            if (cancellationToken.IsCancellationRequested) return;
            if (!went) break;
            Tell(gradients.ResidualNorm / heatNorm);
            sinceLeast = gradients.ResidualNorm < 0.99 * least ? 0 : sinceLeast + 1;
            least = Math.Min(least, gradients.ResidualNorm);
        }

        gradients.AddCorrection(temperature);
    }

    private void Tell(double relativeResidual)
    {
        _iterations++;
        progress?.Report((_iterations, relativeResidual));
    }

    private void CorrectDirectly(Span<double> temperature)
    {
        workspace.Residual.Nodes.CopyTo(workspace.CoarsestRhs, _hierarchy.Coarsest.Cells);
        _hierarchy.Coarsest.Solve(workspace.CoarsestRhs, workspace.CoarsestX, workspace.CoarsestWork);
        for (var i = 0; i < temperature.Length; i++) temperature[i] += workspace.CoarsestX[i];
    }
}
