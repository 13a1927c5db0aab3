using HeatSpread.Service.Jobs;
using HeatSpread.Service.Solutions;
using HeatSpread.Service.Studies;
using HeatSpread.Service.Tenants;
using Microsoft.Extensions.Options;

namespace HeatSpread.Service.Storage;

/// <param name="Solutions">That went.</param>
/// <param name="Studies">That went, with what was known of those that were left in their middle.</param>
/// <param name="Layouts">That went.</param>
internal readonly record struct Swept(int Solutions, int Studies, int Layouts);

/// <summary>
/// Removes solutions and studies that are older or more than the settings keep, oldest first, and old layouts; but nothing that something kept refers to, and nothing that waits or runs.
/// </summary>
internal sealed class Retention(Workspaces workspaces, IWorkQueue queue, IOptions<ServiceSettings> settings, TimeProvider clock, ILogger<Retention> logger) : BackgroundService
{
    private static readonly TimeSpan BetweenSweeps = TimeSpan.FromMinutes(10);

    /// <summary>By then what an earlier process had accepted is in the queue again.</summary>
    private static readonly TimeSpan AfterStart = TimeSpan.FromMinutes(1);

    /// <summary>Sweeps one workspace.</summary>
    public async Task<Swept> Sweep(Workspace workspace, CancellationToken cancellationToken)
    {
        var oldest = settings.Value.KeepDays > 0 ? clock.GetUtcNow().AddDays(-settings.Value.KeepDays) : DateTimeOffset.MinValue;
        long most = settings.Value.KeepBytes > 0 ? settings.Value.KeepBytes : long.MaxValue;
        var referred = workspace.SolutionsReferredTo.ToHashSet(StringComparer.Ordinal);
        var held = Results(workspace).OrderBy(result => result.Created).ToList();
        long total = held.Sum(result => result.Bytes);
        int solutions = 0, studies = 0;
        foreach (var result in held)
        {
            if (result.Created >= oldest && total <= most) continue;
            if (result.Kind == SolutionWork.KindName ? referred.Contains(result.Id) : !await IsLeft(result, workspace, cancellationToken)) continue;
            if (!(result.Kind == SolutionWork.KindName ? workspace.Solutions.Remove(result.Id) : workspace.Studies.Remove(result.Id))) continue;
            total -= result.Bytes;
            if (result.Kind == SolutionWork.KindName) solutions++;
            else studies++;
        }
        return new(solutions, studies, await RemoveLayouts(workspace, oldest, cancellationToken));
    }

    protected override async Task ExecuteAsync(CancellationToken stoppingToken)
    {
        if (settings.Value is { KeepDays: 0, KeepBytes: 0 }) return;
        await Task.Delay(AfterStart, clock, stoppingToken);
        using var timer = new PeriodicTimer(BetweenSweeps, clock);
        do
        {
            try
            {
                foreach (var workspace in workspaces.All())
                {
                    var swept = await Sweep(workspace, stoppingToken);
                    if (swept != default) logger.Swept(workspace.Tenant, swept.Solutions, swept.Studies, swept.Layouts);
                }
            }
            catch (Exception fault) when (fault is IOException or UnauthorizedAccessException or QueueAwayException)
            {
                logger.SweepFailed(fault);
            }
        }
        while (await timer.WaitForNextTickAsync(stoppingToken));
    }

    private static IEnumerable<Result> Results(Workspace workspace) => workspace.Solutions.List().Select(s => new Result(SolutionWork.KindName, s.Id, s.Created!.Value, workspace.Solutions.Bytes(s.Id)))
        .Concat(workspace.Studies.Kept.Select(s => new Result(StudyWork.KindName, s.Id, s.Created, workspace.Studies.Bytes(s.Id))));

    /// <summary>A layout stays as long as a solution, a study, or something that waits or runs names it in its answer.</summary>
    private async Task<int> RemoveLayouts(Workspace workspace, DateTimeOffset oldest, CancellationToken cancellationToken)
    {
        // In this order: what has waited and is done meanwhile is among the results.
        var unfinished = await queue.Unfinished(workspace, cancellationToken);
        var inUse = workspace.Solutions.List().Select(s => s.Layout).Concat(workspace.Studies.List().Select(s => s.Layout)).Concat(unfinished.Select(work => work.Labels.Layout)).ToHashSet(StringComparer.Ordinal);
        return workspace.Layouts.List(null).Count(l => l.Created < oldest && !inUse.Contains(l.Id) && workspace.Layouts.Remove(l.Id));
    }

    /// <summary>Whether a study neither waits nor runs, and has not been done since it was looked at.</summary>
    private async Task<bool> IsLeft(Result study, Workspace workspace, CancellationToken cancellationToken) =>
        await queue.Progress(StudyWork.KindName, study.Id, workspace, cancellationToken) is not { State: SolutionState.Queued or SolutionState.Running } && workspace.Studies.Kept.Contains((study.Id, study.Created));

    /// <param name="Kind">Of the work that made it.</param>
    /// <param name="Id">Of it.</param>
    /// <param name="Created">When it was done; of a study that is not, when it was begun.</param>
    /// <param name="Bytes">Kept of it.</param>
    private sealed record Result(string Kind, string Id, DateTimeOffset Created, long Bytes);
}
