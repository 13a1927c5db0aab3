using System.Diagnostics;
using HeatSpread.Insight;
using HeatSpread.Service.Problems;
using HeatSpread.Service.Solutions;
using HeatSpread.Service.Tenants;

namespace HeatSpread.Service.Jobs;

/// <summary>One piece of work that waits or runs, shared by every request of its tenant for the same result.</summary>
internal class SolveJob(Work work, Workspace workspace) : IProgress<AnalysisProgress>, IDisposable
{
    private readonly CancellationTokenSource _cancellation = new();
    private readonly TaskCompletionSource<Problem?> _completion = new(TaskCreationOptions.RunContinuationsAsynchronously);
    private volatile StepProgress? _progress;

    public Work Work { get; } = work;

    public Workspace Workspace { get; } = workspace;

    public string Tenant => Workspace.Tenant;

    /// <summary>The same result asked for by two tenants is two jobs.</summary>
    public (string Tenant, string Id) Key => (Workspace.Tenant, Work.Id);

    public double ExpectedSeconds => Work.ExpectedSeconds;

    public SolutionState State { get; private set; } = SolutionState.Queued;

    /// <summary>Requests that wait for it, and one for ever once a client was told to come back.</summary>
    public int Interest { get; set; }

    /// <summary>A client was promised an answer: the work is written down, and outlives this process.</summary>
    public bool IsAccepted { get; set; }

    /// <summary>The trace of the request that began it.</summary>
    public ActivityContext Asker { get; init; } = Activity.Current?.Context ?? default;

    public CancellationToken Cancellation => _cancellation.Token;

    /// <summary>Ends with null when the result is stored, else with the problem.</summary>
    public Task<Problem?> Completion => _completion.Task;

    public JobEvents Events { get; } = new();

    public SolutionProgress Progress => new(Work.Id, Work.Labels.Layout, State, _progress, null);

    public void Queue() => Events.Add(Progress);

    public void Start()
    {
        State = SolutionState.Running;
        Tell();
    }

    public void Report(AnalysisProgress value)
    {
        _progress = new StepProgress(value.Step, value.Percent, value.RelativeResidual);
        Tell();
    }

    /// <summary>What another process tells of it.</summary>
    public void Follow(SolutionProgress told)
    {
        State = told.State;
        _progress = told.Progress;
    }

    public void Cancel() => _cancellation.Cancel();

    public void Finish(Problem? problem)
    {
        State = StateOf(problem);
        Events.End();
        _completion.TrySetResult(problem);
    }

    /// <summary>How work has ended by its problem.</summary>
    public static SolutionState StateOf(Problem? problem) =>
        problem is null ? SolutionState.Solved : problem.Kind == ProblemKind.Cancelled ? SolutionState.Cancelled : SolutionState.Failed;

    public void Dispose()
    {
        Dispose(true);
        GC.SuppressFinalize(this);
    }

    protected virtual void Dispose(bool disposing)
    {
        if (disposing) _cancellation.Dispose();
    }

    /// <summary>Tells those who follow it of what is new.</summary>
    protected virtual void Tell() => Events.Add(Progress);
}
