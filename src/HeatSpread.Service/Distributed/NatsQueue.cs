using System.Diagnostics;
using System.Text.Json;
using HeatSpread.Service.Jobs;
using HeatSpread.Service.Operations;
using HeatSpread.Service.Problems;
using HeatSpread.Service.Solutions;
using HeatSpread.Service.Tenants;
using Microsoft.Extensions.Options;

namespace HeatSpread.Service.Distributed;

/// <summary>
/// The queue of many processes. A bucket of states is the truth about each piece of work, changed only by comparing and setting; the stream of work tells workers that there is some. So a message that comes twice, or
/// too late, does no harm. The state also counts the replicas whose clients wait, so that work is cancelled when the last has gone away and none was told to come back.
/// </summary>
internal sealed class NatsQueue : IWorkQueue
{
    private static readonly TimeSpan Silence = TimeSpan.FromSeconds(2);

    private readonly NatsLink _link;
    private readonly BucketMirror<WorkState> _states;
    private readonly WorkSource _source;
    private readonly ProgressMirror _progress;
    private readonly WorkTaker _taker;
    private readonly ServiceSettings _settings;
    private readonly TimeProvider _clock;
    private readonly RetryTimes _retries;
    private readonly Lock _gate = new();
    private readonly Dictionary<string, FollowedJob> _followed = new(StringComparer.Ordinal);

    public NatsQueue(NatsLink link, BucketMirror<WorkState> states, WorkSource source, ProgressMirror progress, WorkTaker taker, IOptions<ServiceSettings> settings, ServiceMetrics metrics, TimeProvider clock)
    {
        (_link, _states, _source, _progress, _taker, _settings, _clock) = (link, states, source, progress, taker, settings.Value, clock);
        _retries = new(clock);
        metrics.ObserveQueue(() => Waiting);
    }

    public int Waiting => _states.Known.Count(state => state.Value.Value.State == SolutionState.Queued);

    public int SecondsToRetry()
    {
        var live = _states.Known.Select(state => state.Value.Value).Where(state => state.IsLive).ToList();
        return _retries.Next(live.Sum(state => state.ExpectedSeconds) / Math.Max(1, live.Count(state => state.State == SolutionState.Running)) / Math.Max(1, live.Count), _settings.QueueLength);
    }

    public async Task<SolveJob?> Join(Work work, Workspace workspace, CancellationToken cancellationToken)
    {
        string key = Key(work.Id, workspace);
        while (true)
        {
            var held = await _states.Get(key, cancellationToken);
            if (held is { Value.IsLive: true })
            {
                if (await TakePart(work, workspace, held.Value.Run, cancellationToken) is { } shared) return shared;
                continue; // it has ended meanwhile
            }
            string prefix = $"{NatsLink.Token(workspace.Tenant)}.";
            if (_states.Known.Count(state => state.Value.Value.State == SolutionState.Queued && state.Key.StartsWith(prefix, StringComparison.Ordinal)) >= _settings.QueueLength) return null;
            var state = new WorkState(work.Kind, work.Labels, work.ExpectedSeconds, Guid.NewGuid().ToString("N"), SolutionState.Queued, 0, 0, _clock.GetUtcNow(), null, Replicas: 1, Promised: false);
            var message = new WorkMessage(workspace.Tenant, work.Id, state.Run, Activity.Current?.Id);
            await _link.Ask((_, token) => _link.Files.PutAsync(message.Document, work.Document(), token).AsTask(), cancellationToken);
            if (await _states.Set(key, state, held?.Revision ?? 0, cancellationToken) is not { } revision)
            {
                await _taker.Forget(message); // another process was first
                continue;
            }
            FollowedJob job;
            lock (_gate)
            {
                job = Followed(work, workspace, state.Run);
                job.Interest++;
                job.IsCounted = true;
            }
            try
            {
                await _taker.Tell(message, new(work.Id, work.Labels.Layout, SolutionState.Queued, null, null));
                ulong sequence = await _source.Put(message, work.ExpectedSeconds, cancellationToken);
                await _states.Set(key, state with { Message = sequence }, revision, cancellationToken); // a worker may have been quicker: then its state stands
                return job;
            }
            catch
            {
                Leave(job);
                throw;
            }
        }
    }

    /// <summary>Written down in the state before it returns.</summary>
    public async Task<bool> Promise(SolveJob job, CancellationToken cancellationToken)
    {
        if (job.Completion.IsCompleted) return false;
        var followed = (FollowedJob)job;
        if (!await Change(followed, state => state with { Promised = true }, cancellationToken)) return false; // it has just ended; its completion will say how
        followed.IsAccepted = true;
        return true;
    }

    public void Leave(SolveJob job)
    {
        var followed = (FollowedJob)job;
        lock (_gate)
        {
            if (--followed.Interest > 0 || followed.IsAccepted || followed.Completion.IsCompleted) return;
            _followed.Remove(followed.Name); // who comes now takes part anew
            if (!followed.IsCounted) return;
        }
        _ = Task.Run(() => Withdraw(followed)); // nobody waits for this
    }

    public async Task<SolutionProgress?> Progress(string kind, string id, Workspace workspace, CancellationToken cancellationToken)
    {
        if (!IsId(id) || await _states.Get(Key(id, workspace), cancellationToken) is not { Value: var state } || state.Kind != kind) return null;
        var step = state.State == SolutionState.Running ? _progress.Last(Key(id, workspace), state.Run)?.Progress : null;
        return new(id, state.Labels.Layout, state.State, step, state.Problem);
    }

    public Task<IReadOnlyList<UnfinishedWork>> Unfinished(Workspace workspace, CancellationToken cancellationToken)
    {
        string prefix = Key("", workspace);
        return Task.FromResult<IReadOnlyList<UnfinishedWork>>([.. _states.Known.Where(state => state.Value.Value.IsLive && state.Key.StartsWith(prefix, StringComparison.Ordinal))
            .Select(state => new UnfinishedWork(state.Key[prefix.Length..], state.Value.Value.Kind, state.Value.Value.Labels, state.Value.Value.State))]);
    }

    public async Task<IAsyncEnumerable<WorkEvent>?> Follow(string kind, string id, Workspace workspace, string lastEventId, CancellationToken cancellationToken)
    {
        string key = Key(id, workspace);
        return IsId(id) && await _states.Get(key, cancellationToken) is { Value: { IsLive: true, Run: var run } held } && held.Kind == kind ? Events(key, run, lastEventId) : null;
    }

    public async Task<bool> Cancel(string kind, string id, Workspace workspace, CancellationToken cancellationToken)
    {
        string key = Key(id, workspace);
        while (true)
        {
            if (!IsId(id) || await _states.Get(key, cancellationToken) is not { } held || held.Value.Kind != kind) return false;
            if (held.Value.IsLive ? await TryCancel(id, workspace, held, cancellationToken) : await _states.Remove(key, held.Revision, cancellationToken)) return true;
        }
    }

    public Task<SolveJob> Take(double longestSeconds, CancellationToken cancellationToken) => _taker.Take(onlySmall: !double.IsPositiveInfinity(longestSeconds), cancellationToken);

    public Task Finish(SolveJob job, Problem? problem, double seconds) => _taker.Finish((LeasedJob)job, problem);

    public Task GiveBack(SolveJob job, Problem problem) => _taker.GiveBack((LeasedJob)job);

    private static string Key(string id, Workspace workspace) => $"{NatsLink.Token(workspace.Tenant)}.{id}";

    /// <summary>An id comes from an address: what cannot be one must not become part of a key.</summary>
    private static bool IsId(string id) => id.Length > 0 && id.All(char.IsAsciiLetterOrDigit);

    private IAsyncEnumerable<WorkEvent> Events(string key, string run, string lastEventId) =>
        _progress.Follow(key, run, lastEventId, Silence, async () => await _states.Get(key, CancellationToken.None) is { Value.IsLive: true } state && state.Value.Run == run);

    /// <summary>Cancels live work where nobody has written its state since.</summary>
    private async Task<bool> TryCancel(string id, Workspace workspace, BucketValue<WorkState> held, CancellationToken cancellationToken)
    {
        var state = held.Value;
        var cancelled = state with { State = SolutionState.Cancelled, Problem = SolveRun.CancelledProblem.ToBody(), Changed = _clock.GetUtcNow() };
        if (await _states.Set(Key(id, workspace), cancelled, held.Revision, cancellationToken) is null) return false;
        var message = new WorkMessage(workspace.Tenant, id, state.Run, null);
        await _taker.CancelEverywhere(message);
        if (state is { State: SolutionState.Queued, Message: > 0 })
        {
            await _source.Withdraw(state.Message, cancellationToken);
            await _taker.Forget(message);
        }
        await _taker.Tell(message, new(id, state.Labels.Layout, SolutionState.Cancelled, null, cancelled.Problem));
        return true;
    }

    /// <summary>The clients of this replica who wait for a run count as one.</summary>
    /// <returns>Null where the run has ended.</returns>
    private async Task<SolveJob?> TakePart(Work work, Workspace workspace, string run, CancellationToken cancellationToken)
    {
        FollowedJob job;
        lock (_gate)
        {
            job = Followed(work, workspace, run);
            if (++job.Interest > 1) return job;
        }
        try
        {
            job.IsCounted = await Change(job, state => state with { Replicas = state.Replicas + 1 }, cancellationToken);
            return job.IsCounted ? job : null;
        }
        finally
        {
            if (!job.IsCounted) Leave(job);
        }
    }

    /// <summary>The last client of this replica has gone away.</summary>
    private async Task Withdraw(FollowedJob job)
    {
        try
        {
            if (!await Change(job, state => state with { Replicas = state.Replicas - 1 }, CancellationToken.None)) return;
            while (await _states.Get(job.StateKey, CancellationToken.None) is { Value: { IsLive: true, IsUnwanted: true } state } held && state.Run == job.Run)
            {
                if (await TryCancel(job.Work.Id, job.Workspace, held, CancellationToken.None)) return;
            }
        }
        catch (QueueAwayException)
        {
            // then the work is done for nobody
        }
    }

    /// <summary>Changes the state of a run that has not ended.</summary>
    /// <returns>False where it has.</returns>
    private async Task<bool> Change(FollowedJob job, Func<WorkState, WorkState> change, CancellationToken cancellationToken)
    {
        while (await _states.Get(job.StateKey, cancellationToken) is { Value: { IsLive: true } state } held && state.Run == job.Run)
        {
            if (await _states.Set(job.StateKey, change(state), held.Revision, cancellationToken) is not null) return true;
        }
        return false;
    }

    /// <summary>The job of this process that stands for work which another does: one for each run, whoever asks. Inside the lock.</summary>
    private FollowedJob Followed(Work work, Workspace workspace, string run)
    {
        var job = new FollowedJob(work, workspace, Key(work.Id, workspace), run);
        if (_followed.TryGetValue(job.Name, out var known)) return known;
        _followed[job.Name] = job;
        _ = Task.Run(() => FollowToEnd(job));
        return job;
    }

    private async Task FollowToEnd(FollowedJob job)
    {
        var (key, run) = (job.StateKey, job.Run);
        while (true)
        {
            try
            {
                await foreach (var told in Events(key, run, "")) job.Follow(told.Progress);
                var state = (await _states.Get(key, CancellationToken.None))?.Value;
                if (state is { IsLive: true } && state.Run == run) continue;
                lock (_gate)
                {
                    if (_followed.GetValueOrDefault(job.Name) == job) _followed.Remove(job.Name);
                }
                job.Finish(state is null ? null : state.Run == run && state.Problem is { } problem ? Problem.Of(problem) : SolveRun.CancelledProblem);
                return;
            }
            catch (Exception fault) when (fault is QueueAwayException or JsonException)
            {
                await Task.Delay(Silence, _clock);
            }
        }
    }
}

/// <summary>Work that another process does, as those see it who wait for it here.</summary>
internal sealed class FollowedJob(Work work, Workspace workspace, string stateKey, string run) : SolveJob(work, workspace)
{
    public string StateKey { get; } = stateKey;

    public string Run { get; } = run;

    /// <summary>This replica is among <see cref="WorkState.Replicas"/>.</summary>
    public bool IsCounted { get; set; }

    public string Name => $"{StateKey}.{Run}";
}
