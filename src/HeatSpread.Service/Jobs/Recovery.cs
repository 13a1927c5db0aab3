using HeatSpread.Service.Problems;
using HeatSpread.Service.Solutions;
using HeatSpread.Service.Tenants;
using Microsoft.Extensions.Options;

namespace HeatSpread.Service.Jobs;

/// <summary>At a start, takes up what an earlier process accepted and did not finish.</summary>
internal sealed class Recovery(Workspaces workspaces, SolveQueue queue, IOptions<ServiceSettings> settings, ExceptionProblems problems, ILogger<Recovery> logger) : BackgroundService
{
    protected override Task ExecuteAsync(CancellationToken stoppingToken) => Task.Run(
        () =>
        {
            foreach (var workspace in workspaces.All())
            {
                foreach (string id in workspace.Accepted.Ids)
                {
                    if (stoppingToken.IsCancellationRequested) return;
                    TakeUp(id, workspace);
                }
            }
        },
        stoppingToken);

    private void TakeUp(string id, Workspace workspace)
    {
        try
        {
            if (workspace.Solutions.Contains(id)) // stored in the last moment of the process before
            {
                workspace.Accepted.Remove(id);
                return;
            }
            if (Read(id, workspace, out var problem) is { } request)
            {
                logger.TakenUp(id);
                queue.Resume(request, workspace);
            }
            else if (problem is not null)
            {
                workspace.Accepted.End(new(id, null, SolutionState.Failed, null, problem.ToBody()));
            }
        }
        catch (Exception fault)
        {
            logger.SolveFailed(id, fault);
            if (workspace.Accepted.Contains(id)) workspace.Accepted.End(new(id, null, SolutionState.Failed, null, problems.Of(fault).ToBody()));
        }
    }

    private SolutionRequest? Read(string id, Workspace workspace, out Problem? problem)
    {
        problem = null;
        if (workspace.Accepted.Attempts(id) >= settings.Value.MaximumAttempts)
        {
            problem = new Problem(ProblemKind.GaveUp, $"The service ended {workspace.Accepted.Attempts(id)} times while it solved this, so it is not tried again (setting {ServiceSettings.Section}:{nameof(ServiceSettings.MaximumAttempts)}).");
            return null;
        }
        if (workspace.Accepted.Read(id) is not { } json) return null; // cancelled meanwhile
        var (request, refused) = new SolutionRequestReader(workspace.Layouts, settings).Read(json);
        problem = refused;
        // Under the address that the client was given, whatever build of the engine solves it now.
        return request is null ? null : request with { Id = id };
    }
}
