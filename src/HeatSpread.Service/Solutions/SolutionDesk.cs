using HeatSpread.Service.Jobs;
using HeatSpread.Service.Layouts;
using HeatSpread.Service.Operations;
using HeatSpread.Service.Problems;
using HeatSpread.Service.Tenants;

namespace HeatSpread.Service.Solutions;

/// <summary>What came of a request for a solution: one of answer, problem and progress.</summary>
/// <param name="Id">Of the solution; null where the request has faults.</param>
/// <param name="Answer">JSON, when it is solved.</param>
/// <param name="Problem">When there is no solution.</param>
/// <param name="Progress">When the client is to come back.</param>
internal sealed record SolutionOutcome(string? Id, byte[]? Answer, Problem? Problem, SolutionProgress? Progress);

/// <summary>Takes requests for solutions: answers from the store where it can, else has them solved.</summary>
internal sealed class SolutionDesk(ReadingGate gate, SolutionRequestReader reader, Workspace workspace, WorkDesk desk, ServiceMetrics metrics)
{
    private readonly SolutionStore _store = workspace.Solutions;

    /// <param name="json">The request, UTF-8.</param>
    /// <param name="wait">How long to wait for the solve; null: until it is done.</param>
    /// <param name="cancellationToken">Gives up waiting; a solve that nobody else waits for ends with it.</param>
    public async Task<SolutionOutcome> Ask(ReadOnlyMemory<byte> json, TimeSpan? wait, CancellationToken cancellationToken)
    {
        var (request, refused) = await Read(json, cancellationToken);
        if (request is null) return new(null, null, refused, null);
        if (_store.Answer(request.Id) is { } known)
        {
            metrics.AnsweredFromStore();
            workspace.Layouts.Keep(request.Layout); // the answer refers to it, and it may have been removed
            return new(request.Id, known, null, null);
        }
        var (problem, progress) = await desk.Ask(request, workspace, wait, () => workspace.Layouts.Keep(request.Layout), cancellationToken);
        if (problem is not null || progress is not null) return new(request.Id, null, problem, progress);
        return _store.Answer(request.Id) is { } answer ? new(request.Id, answer, null, null) : new(request.Id, null, Problem.NotFound("The solution was removed as soon as it was made."), null);
    }

    private async Task<(SolutionRequest? Request, Problem? Problem)> Read(ReadOnlyMemory<byte> json, CancellationToken cancellationToken)
    {
        using var place = await gate.Enter(cancellationToken);
        if (place is null) return (null, ReadingGate.Busy);
        return reader.Read(json);
    }
}
