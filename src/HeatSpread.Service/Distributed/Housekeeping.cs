using HeatSpread.Service.Jobs;
using HeatSpread.Service.Solutions;

namespace HeatSpread.Service.Distributed;

/// <summary>Mends what a process left that ended in the middle of putting work in, and forgets what is old. Any number of processes may do it at once.</summary>
internal sealed class Housekeeping(BucketMirror<WorkState> states, WorkSource source, ProgressMirror progress, TimeProvider clock, ILogger<Housekeeping> logger) : BackgroundService
{
    private const int RememberedEnds = 1000;

    private static readonly TimeSpan Pause = TimeSpan.FromSeconds(20);

    protected override async Task ExecuteAsync(CancellationToken stoppingToken)
    {
        using var timer = new PeriodicTimer(Pause, clock);
        while (await timer.WaitForNextTickAsync(stoppingToken))
        {
            try
            {
                progress.Prune();
                foreach (var (key, state) in states.Known) await PutAgain(key, state, stoppingToken);
                await Trim(stoppingToken);
            }
            catch (QueueAwayException fault)
            {
                logger.MirrorFault("the queue", fault);
            }
        }
    }

    /// <summary>Work whose message was not put in: its state says so. Where it was, and only that was not written down, the server drops the second one or a worker finds nothing to do.</summary>
    private async Task PutAgain(string key, BucketValue<WorkState> held, CancellationToken cancellationToken)
    {
        var state = held.Value;
        if (state is not { State: SolutionState.Queued, Message: 0 } || clock.GetUtcNow() - state.Changed < Pause) return;
        int dot = key.IndexOf('.', StringComparison.Ordinal);
        ulong sequence = await source.Put(new WorkMessage(NatsLink.Tenant(key[..dot]), key[(dot + 1)..], state.Run, null), state.ExpectedSeconds, cancellationToken);
        await states.Set(key, state with { Message = sequence }, held.Revision, cancellationToken);
    }

    /// <summary>Of each tenant so many ends are remembered.</summary>
    private async Task Trim(CancellationToken cancellationToken)
    {
        foreach (var tenant in states.Known.Where(state => !state.Value.Value.IsLive).GroupBy(state => state.Key.Split('.')[0]))
        {
            foreach (var (key, old) in tenant.OrderByDescending(state => state.Value.Value.Changed).Skip(RememberedEnds)) await states.Remove(key, old.Revision, cancellationToken);
        }
    }
}
