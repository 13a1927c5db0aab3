using System.Collections.Concurrent;
using System.Diagnostics;
using System.Net;
using HeatSpread.Service.Operations;

namespace HeatSpread.Service.Tests;

/// <summary>What those who run the service see of it.</summary>
public sealed class WatchTests(SharedService service)
{
    private readonly HttpClient _client = service.Client;

    [Fact]
    public async Task A_solve_is_a_span_of_its_request_s_trace_with_a_span_for_each_step()
    {
        var ended = new ConcurrentBag<Activity>();
        using var listener = new ActivityListener
        {
            ShouldListenTo = source => source.Name == ServiceTraces.SourceName,
            Sample = (ref ActivityCreationOptions<ActivityContext> _) => ActivitySamplingResult.AllDataAndRecorded,
            ActivityStopped = ended.Add,
        };
        ActivitySource.AddActivityListener(listener);
        string trace = ActivityTraceId.CreateRandom().ToHexString();
        using var request = new HttpRequestMessage(HttpMethod.Post, "/v1/solutions")
        {
            Content = Requests.Json(Boards.Request(Boards.Plate("traced"))),
            Headers = { { "traceparent", $"00-{trace}-{ActivitySpanId.CreateRandom().ToHexString()}-01" } },
        };
        (await _client.SendAsync(request, TestContext.Current.CancellationToken)).Dispose();
        Activity[] Spans() => [.. ended.Where(a => a.TraceId.ToHexString() == trace)];
        while (!Spans().Any(a => a.OperationName == "solve board")) await Task.Delay(10, TestContext.Current.CancellationToken);
        var whole = Spans().Single(a => a.OperationName == "solve board");
        var steps = Spans().Where(a => a.ParentSpanId == whole.SpanId).ToList();
        Assert.Contains(steps, s => s.OperationName == "raster");
        Assert.Contains(steps, s => s.OperationName == "solve");
        Assert.Contains(steps, s => s.OperationName == "store");
        Assert.InRange(steps.Sum(s => s.Duration.TotalSeconds), 0, whole.Duration.TotalSeconds * 1.000001);
    }

    [Fact]
    public async Task Each_answer_carries_the_id_of_its_request()
    {
        using var plain = await _client.Get("/v1/materials");
        Assert.Matches("^[0-9a-f]{32}$", Assert.Single(plain.Headers.GetValues("X-Request-Id")));
        Assert.Equal("script-7.a", await Sent("script-7.a"));
        Assert.Matches("^[0-9a-f]{32}$", await Sent("no blanks allowed"));

        async Task<string> Sent(string id)
        {
            using var request = new HttpRequestMessage(HttpMethod.Get, "/v1/materials") { Headers = { { "X-Request-Id", id } } };
            using var response = await _client.SendAsync(request, TestContext.Current.CancellationToken);
            return Assert.Single(response.Headers.GetValues("X-Request-Id"));
        }
    }

    [Fact]
    public async Task A_disk_with_too_little_room_turns_readiness_off()
    {
        using var folder = new TemporaryFolder();
        await using var full = new ServiceUnderTest(folder.Path, ("MinimumFreeBytes", (1L << 50).ToString(System.Globalization.CultureInfo.InvariantCulture)));
        using var client = full.CreateClient();
        using var ready = await client.Get("/health/ready");
        Assert.Equal(HttpStatusCode.ServiceUnavailable, ready.StatusCode);
        Assert.Contains("MinimumFreeBytes", (await ready.Body()).GetRawText(), StringComparison.Ordinal);
        using var live = await client.Get("/health/live");
        Assert.Equal(HttpStatusCode.OK, live.StatusCode);
    }
}
