using HeatSpread.Service.Problems;
using HeatSpread.Service.Solutions;
using HeatSpread.Service.Tenants;
using Microsoft.Extensions.Options;

namespace HeatSpread.Service.Jobs.Embedded;

/// <summary>At a start, takes up what an earlier process accepted and did not finish.</summary>
internal sealed class Recovery(Workspaces workspaces, Journals journals, EmbeddedQueue queue, WorkKinds kinds, IOptions<ServiceSettings> settings, ExceptionProblems problems, ILogger<Recovery> logger) : BackgroundService
{
    protected override Task ExecuteAsync(CancellationToken stoppingToken) => Task.Run(
        () =>
        {
            foreach (var workspace in workspaces.All())
            {
                var journal = journals.Of(workspace);
                foreach (string id in journal.Ids)
                {
                    if (stoppingToken.IsCancellationRequested) return;
                    TakeUp(id, workspace, journal);
                }
            }
        },
        stoppingToken);

    private void TakeUp(string id, Workspace workspace, Journal journal)
    {
        string? kind = null;
        try
        {
            if (journal.Read(id) is not var (kindName, document)) return; // cancelled meanwhile
            kind = kindName;
            if (journal.Attempts(id) is var attempts && attempts >= settings.Value.MaximumAttempts)
            {
                End(SolveRun.GaveUp(attempts, settings.Value));
                return;
            }
            var reader = kinds.Of(kind);
            if (reader.IsDone(id, workspace)) // stored in the last moment of the process before
            {
                journal.Remove(id);
                return;
            }
            var (work, problem) = reader.Read(document, workspace);
            if (work is null)
            {
                End(problem!);
                return;
            }
            logger.TakenUp(id);
            queue.Resume(work with { Id = id }, workspace); // under the address that the client was given, whatever build of the engine does it now
        }
        catch (Exception fault)
        {
            logger.SolveFailed(id, fault);
            if (kind is not null && journal.Contains(kind, id)) End(problems.Of(fault));
        }

        void End(Problem problem) => journal.End(kind!, new(id, null, SolutionState.Failed, null, problem.ToBody()));
    }
}
