using HeatSpread.Insight;
using HeatSpread.Service.Problems;

namespace HeatSpread.Service.Solutions;

/// <summary>One solve that waits or runs, shared by every request for the same solution.</summary>
internal sealed class SolveJob(SolutionRequest request) : IProgress<AnalysisProgress>, IDisposable
{
    private readonly CancellationTokenSource _cancellation = new();
    private readonly TaskCompletionSource<Problem?> _completion = new(TaskCreationOptions.RunContinuationsAsynchronously);
    private volatile StepProgress? _progress;

    public SolutionRequest Request { get; } = request;

    public SolutionState State { get; private set; } = SolutionState.Queued;

    /// <summary>Requests that wait for it, and one for ever once a client was told to come back.</summary>
    public int Interest { get; set; }

    public CancellationToken Cancellation => _cancellation.Token;

    /// <summary>Ends with null when the solution is stored, else with the problem.</summary>
    public Task<Problem?> Completion => _completion.Task;

    public SolutionProgress Progress => new(Request.Id, Request.Layout.Id, State, _progress, null);

    public void Start() => State = SolutionState.Running;

    public void Report(AnalysisProgress value) => _progress = new StepProgress(value.Step, value.Percent, value.RelativeResidual);

    public void Cancel() => _cancellation.Cancel();

    public void Finish(Problem? problem)
    {
        State = problem is null ? SolutionState.Solved : problem.Kind == ProblemKind.Cancelled ? SolutionState.Cancelled : SolutionState.Failed;
        _completion.TrySetResult(problem);
    }

    public void Dispose() => _cancellation.Dispose();
}
