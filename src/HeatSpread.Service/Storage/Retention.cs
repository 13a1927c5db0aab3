using HeatSpread.Service.Tenants;
using Microsoft.Extensions.Options;

namespace HeatSpread.Service.Storage;

/// <summary>Removes what is older or more than the settings keep, oldest first, but nothing that something kept refers to.</summary>
internal sealed class Retention(Workspaces workspaces, IOptions<ServiceSettings> settings, TimeProvider clock, ILogger<Retention> logger) : BackgroundService
{
    private static readonly TimeSpan BetweenSweeps = TimeSpan.FromMinutes(10);

    /// <summary>Sweeps one workspace.</summary>
    /// <returns>How many solutions and layouts went.</returns>
    public (int Solutions, int Layouts) Sweep(Workspace workspace)
    {
        var oldest = settings.Value.KeepDays > 0 ? clock.GetUtcNow().AddDays(-settings.Value.KeepDays) : DateTimeOffset.MinValue;
        var referred = workspace.SolutionsReferredTo.ToHashSet(StringComparer.Ordinal);
        var held = workspace.Solutions.List().Reverse().Select(s => (s.Id, s.Created, Bytes: workspace.Solutions.Bytes(s.Id))).ToList(); // oldest first
        long total = held.Sum(s => s.Bytes), most = settings.Value.KeepBytes > 0 ? settings.Value.KeepBytes : long.MaxValue;
        int solutions = 0;
        foreach (var (id, created, bytes) in held)
        {
            if (referred.Contains(id) || (created >= oldest && total <= most) || !workspace.Solutions.Remove(id)) continue;
            total -= bytes;
            solutions++;
        }
        var inUse = workspace.Solutions.List().Select(s => s.Layout).ToHashSet(StringComparer.Ordinal);
        int layouts = workspace.Layouts.List(null).Count(l => l.Created < oldest && !inUse.Contains(l.Id) && workspace.Layouts.Remove(l.Id));
        return (solutions, layouts);
    }

    protected override async Task ExecuteAsync(CancellationToken stoppingToken)
    {
        if (settings.Value is { KeepDays: 0, KeepBytes: 0 }) return;
        using var timer = new PeriodicTimer(BetweenSweeps, clock);
        do
        {
            try
            {
                foreach (var workspace in workspaces.All())
                {
                    var (solutions, layouts) = Sweep(workspace);
                    if (solutions + layouts > 0) logger.Swept(workspace.Tenant, solutions, layouts);
                }
            }
            catch (Exception fault) when (fault is IOException or UnauthorizedAccessException)
            {
                logger.SweepFailed(fault);
            }
        }
        while (await timer.WaitForNextTickAsync(stoppingToken));
    }
}
