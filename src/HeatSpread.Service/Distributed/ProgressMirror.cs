using System.Collections.Concurrent;
using System.Globalization;
using System.Runtime.CompilerServices;
using System.Text.Json;
using HeatSpread.Service.Jobs;
using HeatSpread.Service.Solutions;
using NATS.Client.JetStream;

namespace HeatSpread.Service.Distributed;

/// <summary>
/// What all workers tell of their work, in one order that is the same in every process: the id of an event is its number in the stream, so a client that lost its connection goes on at any of them.
/// </summary>
internal sealed class ProgressMirror(NatsLink link, TimeProvider clock, ILogger<ProgressMirror> logger) : BackgroundService
{
    private static readonly TimeSpan AfterFault = TimeSpan.FromSeconds(1);
    private static readonly TimeSpan KeepSilent = TimeSpan.FromHours(1), KeepEnded = TimeSpan.FromMinutes(1);

    private readonly ConcurrentDictionary<string, EventLog> _logs = new(StringComparer.Ordinal);

    /// <summary>The last that was told of a run; null for nothing.</summary>
    public SolutionProgress? Last(string key, string run) => _logs.GetValueOrDefault($"{key}.{run}")?.Last;

    /// <summary>Events of a run after the one of a number, then those to come, until the last or the end of the enumeration by its token.</summary>
    /// <param name="key">Of the work.</param>
    /// <param name="run">Of the work.</param>
    /// <param name="lastEventId">What the reader has.</param>
    /// <param name="silence">After so long without an event, asks <paramref name="goesOn"/>.</param>
    /// <param name="goesOn">Whether the run has not ended.</param>
    /// <param name="cancellationToken">Of the reader.</param>
    public async IAsyncEnumerable<WorkEvent> Follow(string key, string run, string lastEventId, TimeSpan silence, Func<Task<bool>> goesOn, [EnumeratorCancellation] CancellationToken cancellationToken = default)
    {
        var log = LogOf($"{key}.{run}");
        ulong seen = ulong.TryParse(lastEventId, NumberStyles.None, CultureInfo.InvariantCulture, out ulong number) ? number : 0;
        while (true)
        {
            var (batch, news, hasEnded) = log.After(seen);
            foreach (var (at, progress) in batch)
            {
                seen = at;
                if (progress.State is SolutionState.Queued or SolutionState.Running) yield return new(at.ToString(CultureInfo.InvariantCulture), progress);
            }
            if (hasEnded) yield break;
            try
            {
                await news.WaitAsync(silence, clock, cancellationToken);
            }
            catch (TimeoutException)
            {
                if (!await goesOn()) yield break;
            }
        }
    }

    protected override async Task ExecuteAsync(CancellationToken stoppingToken)
    {
        ulong last = 0;
        while (!stoppingToken.IsCancellationRequested)
        {
            try
            {
                var from = last == 0 ? new NatsJSOrderedConsumerOpts() : new NatsJSOrderedConsumerOpts { DeliverPolicy = NATS.Client.JetStream.Models.ConsumerConfigDeliverPolicy.ByStartSequence, OptStartSeq = last + 1 };
                var consumer = await link.Ask(async (streams, token) => await streams.CreateOrderedConsumerAsync(link.ProgressStream, from, token), stoppingToken);
                await foreach (var message in consumer.ConsumeAsync<byte[]>(cancellationToken: stoppingToken))
                {
                    if (message.Metadata is not { } where || message.Data is not { } data) continue;
                    last = where.Sequence.Stream;
                    Add(message.Subject[$"{link.Name}.progress.".Length..], last, JsonSerializer.Deserialize(data, ServiceJson.Written.SolutionProgress)!);
                }
            }
            catch (OperationCanceledException) when (stoppingToken.IsCancellationRequested)
            {
                return;
            }
            catch (Exception fault) // the mirror must go on whatever happens
            {
                logger.MirrorFault(link.ProgressStream, fault);
                await Task.Delay(AfterFault, stoppingToken);
            }
        }
    }

    /// <summary>Forgets runs that have ended, and those of which nothing was told for long.</summary>
    public void Prune()
    {
        foreach (var (key, log) in _logs)
        {
            if (clock.GetUtcNow() - log.Changed > (log.HasEnded ? KeepEnded : KeepSilent)) _logs.TryRemove(new(key, log));
        }
    }

    private void Add(string run, ulong number, SolutionProgress progress)
    {
        bool isEnd = progress.State is not (SolutionState.Queued or SolutionState.Running);
        LogOf(run).Add(number, progress, isEnd, clock.GetUtcNow());
    }

    private EventLog LogOf(string run) => _logs.GetOrAdd(run, _ => new EventLog(clock.GetUtcNow()));

    private sealed class EventLog(DateTimeOffset made)
    {
        private readonly Lock _gate = new();
        private readonly List<(ulong Number, SolutionProgress Progress)> _events = [];
        private TaskCompletionSource _news = New();

        public bool HasEnded { get; private set; }

        public DateTimeOffset Changed { get; private set; } = made;

        public SolutionProgress? Last
        {
            get
            {
                lock (_gate) return _events.Count == 0 ? null : _events[^1].Progress;
            }
        }

        public void Add(ulong number, SolutionProgress progress, bool isEnd, DateTimeOffset now)
        {
            lock (_gate)
            {
                _events.Add((number, progress));
                HasEnded |= isEnd;
                Changed = now;
                _news.SetResult();
                _news = New();
            }
        }

        public ((ulong Number, SolutionProgress Progress)[] Batch, Task News, bool HasEnded) After(ulong number)
        {
            lock (_gate) return ([.. _events.Where(e => e.Number > number)], _news.Task, HasEnded);
        }

        private static TaskCompletionSource New() => new(TaskCreationOptions.RunContinuationsAsynchronously);
    }
}
