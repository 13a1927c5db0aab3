using System.Text.Json;
using System.Threading.Channels;
using HeatSpread.Service.Jobs;
using HeatSpread.Service.Solutions;
using HeatSpread.Service.Tenants;
using NATS.Client.JetStream;

namespace HeatSpread.Service.Distributed;

/// <summary>
/// Work that this process has taken. Its message is held by a lease that is prolonged until the end; what it tells goes to the stream of progress in order. The thread that solves does not wait for either.
/// </summary>
internal sealed class LeasedJob : SolveJob
{
    private readonly Channel<SolutionProgress> _told = Channel.CreateUnbounded<SolutionProgress>(new() { SingleReader = true });
    private readonly CancellationTokenSource _ended = new();
    private readonly NatsLink _link;
    private readonly ILogger _logger;
    private readonly Task _publishing, _holding;
    private SolutionProgress? _last;

    /// <param name="work">To be done.</param>
    /// <param name="workspace">Whose it is.</param>
    /// <param name="message">Delivered to this process.</param>
    /// <param name="content">What it says.</param>
    /// <param name="link">To the server.</param>
    /// <param name="lease">Prolonged three times in this time.</param>
    /// <param name="goesOn">Whether the work is still wanted of this process.</param>
    /// <param name="logger">Told where the lease cannot be prolonged.</param>
    public LeasedJob(Work work, Workspace workspace, INatsJSMsg<byte[]> message, WorkMessage content, NatsLink link, TimeSpan lease, Func<Task<bool>> goesOn, ILogger logger)
        : base(work, workspace)
    {
        (Message, Content, _link, _logger) = (message, content, link, logger);
        _publishing = Task.Run(Publish);
        _holding = Task.Run(() => Hold(lease / 3, goesOn));
    }

    public INatsJSMsg<byte[]> Message { get; }

    public WorkMessage Content { get; }

    /// <summary>After this nothing more is told, and the lease runs out.</summary>
    public async Task Stop()
    {
        _told.Writer.TryComplete();
        await _publishing;
        await _ended.CancelAsync();
        await _holding;
    }

    protected override void Tell()
    {
        var now = Progress;
        if (_last is { } last && !JobEvents.IsNews(last, now)) return;
        _last = now;
        _told.Writer.TryWrite(now);
    }

    protected override void Dispose(bool disposing)
    {
        if (disposing) _ended.Dispose();
        base.Dispose(disposing);
    }

    private async Task Publish()
    {
        string subject = $"{_link.Name}.progress.{Content.Key}.{Content.Run}";
        await foreach (var progress in _told.Reader.ReadAllAsync())
        {
            try
            {
                await _link.Ask(
                    async (streams, token) =>
                    {
                        await streams.Connection.PublishAsync(subject, JsonSerializer.SerializeToUtf8Bytes(progress, ServiceJson.Written.SolutionProgress), cancellationToken: token);
                        return true;
                    },
                    CancellationToken.None);
            }
            catch (QueueAwayException)
            {
                // a step that nobody hears of is no loss
            }
        }
    }

    private async Task Hold(TimeSpan pause, Func<Task<bool>> goesOn)
    {
        while (true)
        {
            try
            {
                await Task.Delay(pause, _ended.Token);
                await Message.AckProgressAsync(cancellationToken: _ended.Token);
                if (!await goesOn()) Cancel();
            }
            catch (OperationCanceledException) when (_ended.IsCancellationRequested)
            {
                return;
            }
            catch (Exception fault) // the server is away: the work goes on, and another may do it too
            {
                _logger.LeaseFault(Work.Id, fault);
            }
        }
    }
}
