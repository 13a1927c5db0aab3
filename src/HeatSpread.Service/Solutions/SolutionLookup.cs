using HeatSpread.Service.Jobs;
using HeatSpread.Service.Tenants;

namespace HeatSpread.Service.Solutions;

/// <param name="Answer">JSON, when it is solved.</param>
/// <param name="Progress">Where it stands, when it is not.</param>
internal readonly record struct FoundSolution(byte[]? Answer, SolutionProgress? Progress)
{
    public bool IsKnown => Answer is not null || Progress is not null;
}

/// <summary>The one place that asks both the store and the queue for a solution.</summary>
internal sealed class SolutionLookup(Workspace workspace, IWorkQueue queue)
{
    public async Task<FoundSolution> Find(string id, CancellationToken cancellationToken)
    {
        if (workspace.Solutions.Answer(id) is { } answer) return new(answer, null);
        var progress = await queue.Progress(SolutionWork.KindName, id, workspace, cancellationToken);
        // It may have been solved between the two questions: then the queue no longer knows it.
        return progress is null ? new(workspace.Solutions.Answer(id), null) : new(null, progress);
    }
}
