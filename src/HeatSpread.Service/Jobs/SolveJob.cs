using System.Diagnostics;
using HeatSpread.Insight;
using HeatSpread.Service.Problems;
using HeatSpread.Service.Solutions;
using HeatSpread.Service.Tenants;

namespace HeatSpread.Service.Jobs;

/// <summary>One solve that waits or runs, shared by every request of its tenant for the same solution.</summary>
internal sealed class SolveJob(SolutionRequest request, Workspace workspace) : IProgress<AnalysisProgress>, IDisposable
{
    private readonly CancellationTokenSource _cancellation = new();
    private readonly TaskCompletionSource<Problem?> _completion = new(TaskCreationOptions.RunContinuationsAsynchronously);
    private volatile StepProgress? _progress;

    public SolutionRequest Request { get; } = request;

    public Workspace Workspace { get; } = workspace;

    public string Tenant => Workspace.Tenant;

    /// <summary>The same solution asked for by two tenants is two jobs.</summary>
    public (string Tenant, string Id) Key => (Workspace.Tenant, Request.Id);

    public double ExpectedSeconds => Request.ExpectedSeconds;

    public SolutionState State { get; private set; } = SolutionState.Queued;

    /// <summary>Requests that wait for it, and one for ever once a client was told to come back.</summary>
    public int Interest { get; set; }

    /// <summary>A client was promised an answer: the request is on the disk, and outlives this process.</summary>
    public bool IsAccepted { get; set; }

    /// <summary>The trace of the request that began it.</summary>
    public ActivityContext Asker { get; } = Activity.Current?.Context ?? default;

    public CancellationToken Cancellation => _cancellation.Token;

    /// <summary>Ends with null when the solution is stored, else with the problem.</summary>
    public Task<Problem?> Completion => _completion.Task;

    public JobEvents Events { get; } = new();

    public SolutionProgress Progress => new(Request.Id, Request.Layout.Id, State, _progress, null);

    public void Queue() => Events.Add(Progress);

    public void Start()
    {
        State = SolutionState.Running;
        Events.Add(Progress);
    }

    public void Report(AnalysisProgress value)
    {
        _progress = new StepProgress(value.Step, value.Percent, value.RelativeResidual);
        Events.Add(Progress);
    }

    public void Cancel() => _cancellation.Cancel();

    public void Finish(Problem? problem)
    {
        State = problem is null ? SolutionState.Solved : problem.Kind == ProblemKind.Cancelled ? SolutionState.Cancelled : SolutionState.Failed;
        Events.End();
        _completion.TrySetResult(problem);
    }

    public void Dispose() => _cancellation.Dispose();
}
