using System.Collections.Concurrent;
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
/// too late, does no harm. All work is kept from the moment that it is put in: a client that goes away does not end it.
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
    private readonly ConcurrentDictionary<string, SolveJob> _followed = new(StringComparer.Ordinal);

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
            if (held is { Value.IsLive: true }) return Follow(work, workspace, held.Value);
            string prefix = $"{NatsLink.Token(workspace.Tenant)}.";
            if (_states.Known.Count(state => state.Value.Value.State == SolutionState.Queued && state.Key.StartsWith(prefix, StringComparison.Ordinal)) >= _settings.QueueLength) return null;
            var state = new WorkState(work.Kind, work.Labels, work.ExpectedSeconds, Guid.NewGuid().ToString("N"), SolutionState.Queued, 0, 0, _clock.GetUtcNow(), null);
            var message = new WorkMessage(workspace.Tenant, work.Id, state.Run, Activity.Current?.Id);
            await _link.Ask((_, token) => _link.Files.PutAsync(message.Document, work.Document(), token).AsTask(), cancellationToken);
            if (await _states.Set(key, state, held?.Revision ?? 0, cancellationToken) is not { } revision)
            {
                await _taker.Forget(message); // another process was first
                continue;
            }
            var job = Follow(work, workspace, state);
            await _taker.Tell(message, new(work.Id, work.Labels.Layout, SolutionState.Queued, null, null));
            ulong sequence = await _source.Put(message, work.ExpectedSeconds, cancellationToken);
            await _states.Set(key, state with { Message = sequence }, revision, cancellationToken); // a worker may have been quicker: then its state stands
            return job;
        }
    }

    public bool Promise(SolveJob job) => !job.Completion.IsCompleted;

    public void Leave(SolveJob job)
    {
        // the work goes on: another process may wait for it
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
            var state = held.Value;
            if (!state.IsLive)
            {
                if (await _states.Remove(key, held.Revision, cancellationToken)) return true;
                continue;
            }
            var cancelled = state with { State = SolutionState.Cancelled, Problem = SolveRun.CancelledProblem.ToBody(), Changed = _clock.GetUtcNow() };
            if (await _states.Set(key, cancelled, held.Revision, cancellationToken) is null) continue;
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
    }

    public Task<SolveJob> Take(double longestSeconds, CancellationToken cancellationToken) => _taker.Take(onlySmall: !double.IsPositiveInfinity(longestSeconds), cancellationToken);

    public Task Finish(SolveJob job, Problem? problem, double seconds) => _taker.Finish((LeasedJob)job, problem);

    public Task GiveBack(SolveJob job, Problem problem) => _taker.GiveBack((LeasedJob)job);

    private static string Key(string id, Workspace workspace) => $"{NatsLink.Token(workspace.Tenant)}.{id}";

    /// <summary>An id comes from an address: what cannot be one must not become part of a key.</summary>
    private static bool IsId(string id) => id.Length > 0 && id.All(char.IsAsciiLetterOrDigit);

    private IAsyncEnumerable<WorkEvent> Events(string key, string run, string lastEventId) =>
        _progress.Follow(key, run, lastEventId, Silence, async () => await _states.Get(key, CancellationToken.None) is { Value.IsLive: true } state && state.Value.Run == run);

    /// <summary>The job of this process that stands for work which another does: one for each run, whoever asks.</summary>
    private SolveJob Follow(Work work, Workspace workspace, WorkState state)
    {
        string key = Key(work.Id, workspace), name = $"{key}.{state.Run}";
        if (_followed.TryGetValue(name, out var known)) return known;
        var job = new SolveJob(work, workspace);
        if (!_followed.TryAdd(name, job)) return _followed[name];
        _ = Task.Run(() => FollowToEnd(job, key, state.Run, name));
        return job;
    }

    private async Task FollowToEnd(SolveJob job, string key, string run, string name)
    {
        while (true)
        {
            try
            {
                await foreach (var told in Events(key, run, "")) job.Follow(told.Progress);
                var state = (await _states.Get(key, CancellationToken.None))?.Value;
                if (state is { IsLive: true } && state.Run == run) continue;
                _followed.TryRemove(name, out _);
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
