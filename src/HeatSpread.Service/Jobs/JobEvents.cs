using System.Runtime.CompilerServices;
using HeatSpread.Service.Solutions;

namespace HeatSpread.Service.Jobs;

/// <param name="Number">1 for the first of its job.</param>
/// <param name="Progress">Where the job stood then.</param>
internal readonly record struct JobEvent(int Number, SolutionProgress Progress);

/// <summary>What happened to one job, kept whole so that a client that lost its connection can go on where it was.</summary>
internal sealed class JobEvents
{
    private readonly Lock _gate = new();
    private readonly List<JobEvent> _events = [];
    private TaskCompletionSource _news = New();
    private bool _ended;

    /// <summary>Stands for this run of the job: numbers of another run mean nothing here.</summary>
    public string Run { get; } = Guid.NewGuid().ToString("N")[..12];

    /// <summary>Adds what a reader has not heard yet: another state or step, or another percent.</summary>
    public void Add(SolutionProgress progress)
    {
        lock (_gate)
        {
            if (_ended || (_events.Count > 0 && !IsNews(_events[^1].Progress, progress))) return;
            _events.Add(new(_events.Count + 1, progress));
            Tell();
        }
    }

    /// <summary>No more will come.</summary>
    public void End()
    {
        lock (_gate)
        {
            _ended = true;
            Tell();
        }
    }

    /// <summary>Every event after the one with an id, then those to come, until the end; all, where no event of this run has it.</summary>
    public async IAsyncEnumerable<WorkEvent> After(string lastEventId, [EnumeratorCancellation] CancellationToken cancellationToken = default)
    {
        int seen = lastEventId.StartsWith(Run + "-", StringComparison.Ordinal) && int.TryParse(lastEventId.AsSpan(Run.Length + 1), out int number) && number > 0 ? number : 0;
        await foreach (var one in After(seen, cancellationToken)) yield return new($"{Run}-{one.Number}", one.Progress);
    }

    /// <summary>Every event after a number, then those to come, until the end.</summary>
    public async IAsyncEnumerable<JobEvent> After(int number, [EnumeratorCancellation] CancellationToken cancellationToken)
    {
        while (true)
        {
            JobEvent[] batch;
            Task news;
            bool ended;
            lock (_gate) (batch, news, ended) = ([.. _events.Skip(number)], _news.Task, _ended);
            foreach (var one in batch) yield return one;
            number += batch.Length;
            if (ended) yield break;
            await news.WaitAsync(cancellationToken);
        }
    }

    internal static bool IsNews(SolutionProgress last, SolutionProgress next) =>
        last.State != next.State || last.Progress?.Step != next.Progress?.Step || Math.Floor(last.Progress?.Percent ?? 0) != Math.Floor(next.Progress?.Percent ?? 0);

    private void Tell()
    {
        _news.SetResult();
        _news = New();
    }

    private static TaskCompletionSource New() => new(TaskCreationOptions.RunContinuationsAsynchronously);
}
