using HeatSpread.Service.Problems;
using HeatSpread.Service.Solutions;
using HeatSpread.Service.Storage;
using HeatSpread.Service.Tenants;
using HeatSpread.Thermal;

namespace HeatSpread.Service.Analysis;

/// <summary>
/// Networks of stored solutions, solved again when something is asked that the fields do not tell; those used lately are kept in memory. All that is asked of a network runs inside one
/// place of the gate.
/// </summary>
internal sealed class SolvedNetworks(Workspace workspace, RecentlyUsed<SolvedNetwork> shared, AnalysisGate gate, SolveCapacity capacity)
{
    private readonly TenantCache<SolvedNetwork> _recent = new(workspace.Tenant, shared);

    /// <summary>Does something with the network of a solution on its own grid.</summary>
    /// <exception cref="BusyException">Too many wait already.</exception>
    public Task<T> Ask<T>(StoredCase solution, Func<SolvedNetwork, T> ask, CancellationToken cancellationToken) =>
        Run(() => ask(Open(solution, solution.Grid, cancellationToken)), cancellationToken);

    /// <summary>Does heavy work as soon as there is a place for it.</summary>
    /// <exception cref="BusyException">Too many wait already.</exception>
    public async Task<T> Run<T>(Func<T> work, CancellationToken cancellationToken)
    {
        using var place = await gate.Enter(cancellationToken);
        if (place is null) throw new BusyException("Too many solutions are being analysed; try again later.");
        return work();
    }

    /// <summary>The network of a solution on a grid. To be called inside a place of the gate.</summary>
    public SolvedNetwork Open(StoredCase solution, BoardGrid grid, CancellationToken cancellationToken)
    {
        for (; ; )
        {
            try
            {
                return _recent.GetOrMake($"{solution.Id} {grid}", () => Make(solution, grid, cancellationToken))!;
            }
            catch (OperationCanceledException) when (!cancellationToken.IsCancellationRequested)
            {
                // another request was making it and was given up; this one was not
            }
        }
    }

    private SolvedNetwork Make(StoredCase solution, BoardGrid grid, CancellationToken cancellationToken)
    {
        var raster = CopperRaster.Build(solution.Layout.Board, grid, cancellationToken);
        return ThermalSolve.Run(solution.Layout.Board, solution.Conditions, raster, capacity, ThermalSolve.Tolerance, progress: null, cancellationToken);
    }
}
