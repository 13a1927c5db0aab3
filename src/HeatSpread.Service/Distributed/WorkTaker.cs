using System.Collections.Concurrent;
using System.Diagnostics;
using System.Text;
using System.Text.Json;
using HeatSpread.Service.Jobs;
using HeatSpread.Service.Operations;
using HeatSpread.Service.Problems;
using HeatSpread.Service.Solutions;
using HeatSpread.Service.Tenants;
using Microsoft.Extensions.Options;
using NATS.Client.JetStream;
using NATS.Client.ObjectStore;

namespace HeatSpread.Service.Distributed;

/// <summary>What a worker does with the queue: takes work, tells how it ended, gives it back, and hears of work that is cancelled elsewhere.</summary>
internal sealed class WorkTaker(
    NatsLink link, BucketMirror<WorkState> states, WorkSource source, Workspaces workspaces, WorkKinds kinds, ExceptionProblems problems, ServiceMetrics metrics, IOptions<ServiceSettings> settings, TimeProvider clock, ILogger<WorkTaker> logger) : BackgroundService
{
    private static readonly TimeSpan AfterFault = TimeSpan.FromSeconds(1);

    private readonly ConcurrentDictionary<string, LeasedJob> _running = new(StringComparer.Ordinal);

    /// <summary>Waits for work.</summary>
    public async Task<SolveJob> Take(bool onlySmall, CancellationToken cancellationToken)
    {
        while (true)
        {
            var message = await source.Take(onlySmall, cancellationToken);
            if (await Begin(message, WorkMessage.Read(message.Data!), cancellationToken) is { } job) return job;
        }
    }

    /// <summary>
    /// Writes down how work ended, tells it, and only then gives up its message. That it is cancelled is written down by who cancels it, before a worker hears of it: work that was given up though nobody
    /// cancelled it is done again, for as many attempts as there may be.
    /// </summary>
    public async Task Finish(LeasedJob job, Problem? problem)
    {
        bool isUnfinished = false;
        try
        {
            if (problem?.Kind == ProblemKind.Cancelled) isUnfinished = await Live(job.Content) is not null;
            else await End(job.Content, problem, job.Work.Labels.Layout);
        }
        finally
        {
            await job.Stop(); // where the end could not be written down, the lease runs out and the message comes back
            _running.TryRemove(job.Content.Run, out _);
        }
        if (isUnfinished) await PutBack(job, wasAttempt: true);
        else await Acknowledge(job.Message, job.Content);
    }

    /// <summary>Another worker does it at once. This was no attempt that failed.</summary>
    public async Task GiveBack(LeasedJob job)
    {
        await job.Stop();
        _running.TryRemove(job.Content.Run, out _);
        await PutBack(job, wasAttempt: false);
    }

    private async Task PutBack(LeasedJob job, bool wasAttempt)
    {
        if (await Change(job.Content, state => state with { State = SolutionState.Queued, Attempts = state.Attempts - (wasAttempt ? 0 : 1), Changed = clock.GetUtcNow() }) is null)
        {
            await Acknowledge(job.Message, job.Content); // it ended meanwhile
            return;
        }
        await Tell(job.Content, new(job.Work.Id, job.Work.Labels.Layout, SolutionState.Queued, null, null));
        await link.Ask(
            async (_, token) =>
            {
                await job.Message.NakAsync(cancellationToken: token);
                return true;
            },
            CancellationToken.None);
    }

    /// <summary>Tells all who follow work of its state.</summary>
    public Task Tell(WorkMessage work, SolutionProgress progress) => link.Ask(
        async (streams, token) =>
        {
            var kept = await streams.PublishAsync($"{link.Name}.progress.{work.Key}.{work.Run}", JsonSerializer.SerializeToUtf8Bytes(progress, ServiceJson.Written.SolutionProgress), cancellationToken: token);
            kept.EnsureSuccess();
            return true;
        },
        CancellationToken.None);

    /// <summary>Ends the work wherever it runs.</summary>
    public Task CancelEverywhere(WorkMessage work) => link.Ask(
        async (streams, token) =>
        {
            await streams.Connection.PublishAsync(CancelSubject, Encoding.ASCII.GetBytes(work.Run), cancellationToken: token);
            return true;
        },
        CancellationToken.None);

    /// <summary>Removes the document of work that is not to be done any more.</summary>
    public Task Forget(WorkMessage work) => link.Ask(
        async (_, token) =>
        {
            try
            {
                await link.Files.DeleteAsync(work.Document, token);
            }
            catch (NatsObjException)
            {
                // gone already
            }
            return true;
        },
        CancellationToken.None);

    protected override async Task ExecuteAsync(CancellationToken stoppingToken)
    {
        while (!stoppingToken.IsCancellationRequested)
        {
            try
            {
                var connection = await link.Ask((streams, _) => Task.FromResult(streams.Connection), stoppingToken);
                await foreach (var message in connection.SubscribeAsync<byte[]>(CancelSubject, cancellationToken: stoppingToken))
                {
                    if (_running.TryGetValue(Encoding.ASCII.GetString(message.Data ?? []), out var job)) job.Cancel();
                }
            }
            catch (OperationCanceledException) when (stoppingToken.IsCancellationRequested)
            {
                return;
            }
            catch (Exception fault) // the lease looks at the state all the same
            {
                logger.MirrorFault(CancelSubject, fault);
                await Task.Delay(AfterFault, stoppingToken);
            }
        }
    }

    private string CancelSubject => $"{link.Name}.cancel";

    private async Task<LeasedJob?> Begin(INatsJSMsg<byte[]> message, WorkMessage content, CancellationToken cancellationToken)
    {
        if (message.Metadata is { NumDelivered: > 1 }) metrics.Redelivered();
        if (_running.ContainsKey(content.Run)) return null; // its lease ran out and came back here: it still runs, and its next prolongation holds the message again
        var workspace = workspaces.Of(content.Tenant);
        if (await Live(content) is not { Value: var before })
        {
            await Acknowledge(message, content);
            return null;
        }
        if (kinds.Of(before.Kind).IsDone(content.Id, workspace)) return await Drop(null); // stored in the last moment of another worker
        if (before.Attempts >= settings.Value.MaximumAttempts) return await Drop(SolveRun.GaveUp(before.Attempts, settings.Value));
        var state = await Change(content, held => held with { State = SolutionState.Running, Attempts = held.Attempts + 1, Changed = clock.GetUtcNow() });
        if (state is null) // it ended this moment, and who ended it has told so
        {
            await Acknowledge(message, content);
            return null;
        }
        var (work, problem) = await Read(state, content, workspace);
        if (work is null) return await Drop(problem!);
        await source.Charge(content.Tenant, work.ExpectedSeconds);
        ActivityContext.TryParse(content.Trace, null, isRemote: true, out var asker);
        var lease = TimeSpan.FromSeconds(settings.Value.LeaseSeconds);
        var job = new LeasedJob(work with { Id = content.Id }, workspace, message, content, link, lease, () => IsWanted(content), logger) { Asker = asker };
        _running[content.Run] = job;
        job.Start();
        return job;

        async Task<LeasedJob?> Drop(Problem? reason)
        {
            await End(content, reason, before.Labels.Layout);
            await Acknowledge(message, content);
            return null;
        }
    }

    private async Task<(Work? Work, Problem? Problem)> Read(WorkState state, WorkMessage content, Workspace workspace)
    {
        try
        {
            byte[] document = await link.Ask((_, token) => link.Files.GetBytesAsync(content.Document, token).AsTask(), CancellationToken.None);
            return kinds.Of(state.Kind).Read(document, workspace);
        }
        catch (Exception fault) when (fault is not QueueAwayException)
        {
            logger.SolveFailed(content.Id, fault);
            return (null, problems.Of(fault));
        }
    }

    /// <summary>Also where another worker gave it back meanwhile, to whom it came when the lease ran out here: what is done first counts.</summary>
    private async Task<bool> IsWanted(WorkMessage content) => await Live(content) is not null;

    /// <summary>Writes down how a run ended, where it has not ended otherwise.</summary>
    private async Task End(WorkMessage content, Problem? problem, string layout)
    {
        var ended = SolveJob.StateOf(problem);
        if (problem is not null) await Change(content, state => state with { State = ended, Problem = problem.ToBody(), Changed = clock.GetUtcNow() });
        else
        {
            while (await Live(content) is { } held && !await states.Remove(content.Key, held.Revision, CancellationToken.None)) { }
        }
        await Tell(content, new(content.Id, layout, ended, null, problem?.ToBody()));
    }

    /// <summary>Changes the state of a run that has not ended.</summary>
    /// <returns>The state after it; null where the run has ended.</returns>
    private async Task<WorkState?> Change(WorkMessage content, Func<WorkState, WorkState> change)
    {
        while (await Live(content) is { } held)
        {
            var changed = change(held.Value);
            if (changed == held.Value || await states.Set(content.Key, changed, held.Revision, CancellationToken.None) is not null) return changed;
        }
        return null;
    }

    private async Task<BucketValue<WorkState>?> Live(WorkMessage content) =>
        await states.Get(content.Key, CancellationToken.None) is { Value.IsLive: true } held && held.Value.Run == content.Run ? held : null;

    private async Task Acknowledge(INatsJSMsg<byte[]> message, WorkMessage content)
    {
        await Forget(content);
        await link.Ask(
            async (_, token) =>
            {
                await message.AckAsync(new AckOpts { DoubleAck = true }, token);
                return true;
            },
            CancellationToken.None);
    }
}
