using HeatSpread.Service.Jobs;
using HeatSpread.Service.Layouts;
using HeatSpread.Service.Operations;
using HeatSpread.Service.Problems;
using HeatSpread.Service.Solutions;
using HeatSpread.Service.Tenants;

namespace HeatSpread.Service.Studies;

/// <summary>Takes requests for studies, and tells where a study stands.</summary>
internal sealed class StudyDesk(ReadingGate gate, StudyRequestReader reader, Workspace workspace, IWorkQueue queue, WorkDesk desk, ServiceMetrics metrics)
{
    private readonly StudyStore _store = workspace.Studies;

    /// <param name="json">The request, UTF-8.</param>
    /// <param name="wait">How long to wait for the study; null: until it is done.</param>
    /// <param name="cancellationToken">Gives up waiting; a study that nobody else waits for ends with it.</param>
    /// <returns>The problem, or the id of a study that is done or goes on.</returns>
    public async Task<(string? Id, bool IsDone, Problem? Problem)> Ask(ReadOnlyMemory<byte> json, TimeSpan? wait, CancellationToken cancellationToken)
    {
        var (request, refused) = await Read(json, cancellationToken);
        if (request is null) return (null, false, refused);
        if (_store.Contains(request.Id))
        {
            metrics.AnsweredFromStore();
            workspace.Layouts.Keep(request.Layout); // the answer refers to it, and it may have been removed
            return (request.Id, true, null);
        }
        var (problem, progress) = await desk.Ask(request, workspace, wait, Begin, cancellationToken);
        return (request.Id, progress is null, problem);

        void Begin()
        {
            workspace.Layouts.Keep(request.Layout);
            _store.Begin(StudyAnswers.Frame(request));
        }
    }

    /// <summary>JSON of a study that is done.</summary>
    public byte[]? Answer(string id) => _store.Answer(id);

    /// <summary>A study that is not done, with what is known so far; null where none was asked for.</summary>
    public async Task<StudyAnswer?> Unfinished(string id, CancellationToken cancellationToken)
    {
        if (_store.Frame(id) is not { } frame) return null;
        var progress = await queue.Progress(StudyWork.KindName, id, workspace, cancellationToken);
        var known = frame.With(_store.Known(id));
        // What nobody waits for, and nobody was promised, ends with the process: it goes on when it is asked for again.
        return progress is null
            ? known with { State = SolutionState.Cancelled }
            : known with { State = progress.State, Problem = progress.Problem, Progress = known.Progress with { Step = progress.Progress?.Step, Percent = Math.Max(known.Progress.Percent, progress.Progress?.Percent ?? 0) } };
    }

    /// <summary>Cancels a study that waits or runs, whose results so far stay; removes one that does neither.</summary>
    /// <returns>False where there is none.</returns>
    public async Task<bool> Remove(string id, CancellationToken cancellationToken)
    {
        bool isOn = await queue.Progress(StudyWork.KindName, id, workspace, cancellationToken) is { State: SolutionState.Queued or SolutionState.Running };
        bool known = await queue.Cancel(StudyWork.KindName, id, workspace, cancellationToken);
        return isOn ? known : _store.Remove(id) || known;
    }

    /// <summary>Studies that wait, run, were left or are done.</summary>
    public async Task<StudyList> List(CancellationToken cancellationToken)
    {
        var on = (await queue.Unfinished(workspace, cancellationToken)).Where(work => work.Kind == StudyWork.KindName).ToDictionary(work => work.Id, work => work.State);
        return new([.. _store.List().Select(study => on.TryGetValue(study.Id, out var state) && study.State != SolutionState.Solved ? study with { State = state } : study)]);
    }

    private async Task<(StudyRequest? Request, Problem? Problem)> Read(ReadOnlyMemory<byte> json, CancellationToken cancellationToken)
    {
        using var place = await gate.Enter(cancellationToken);
        if (place is null) return (null, ReadingGate.Busy);
        return reader.Read(json);
    }
}
