using System.Net;
using HeatSpread.Service.Jobs;
using HeatSpread.Service.Storage;

namespace HeatSpread.Service.Tests;

public sealed class CacheTests
{
    [Fact]
    public void The_longest_unused_go_first_and_the_sum_keeps_its_bound()
    {
        var cache = new RecentlyUsed<byte[]>(100, value => value.Length);
        for (int i = 0; i < 50; i++)
        {
            cache.GetOrMake($"{i}", () => new byte[30]);
            cache.GetOrMake("0", () => throw new InvalidOperationException("it is held"));
            Assert.InRange(cache.Bytes, 30, 100);
        }
        Assert.Equal((30, 30, null), (cache.Find("49")?.Length, cache.Find("48")?.Length, cache.Find("47")));
        Assert.Equal(500, cache.GetOrMake("large", () => new byte[500])!.Length); // alone, until another comes
        Assert.Equal(500, cache.Bytes);
        cache.GetOrMake("small", () => new byte[1]);
        Assert.Equal(1, cache.Bytes);
    }

    [Fact]
    public async Task Who_waits_for_what_another_has_given_up_makes_it()
    {
        var cache = new RecentlyUsed<string>(100, value => value.Length);
        using var begun = new ManualResetEventSlim();
        using var gone = new CancellationTokenSource();
        var token = TestContext.Current.CancellationToken;
        var first = Task.Run(() => cache.GetOrMake("key", () =>
        {
            begun.Set();
            gone.Token.WaitHandle.WaitOne();
            throw new OperationCanceledException(gone.Token);
        }), token);
        begun.Wait(token);
        var second = Task.Run(() => cache.GetOrMake("key", () => "made"), token);
        Assert.Null(cache.Find("key")); // does not wait for it
        await Task.Delay(50, token); // the second waits for the first by now, or else makes it after: either way it must have it
        await gone.CancelAsync();
        await Assert.ThrowsAnyAsync<OperationCanceledException>(() => first);
        Assert.Equal("made", await second);
        Assert.Equal("made", cache.Find("key"));
    }

    [Fact]
    public void Those_who_are_refused_together_are_told_different_times()
    {
        var clock = new Clock();
        var times = new RetryTimes(clock);
        Assert.Equal([2, 4, 6, 8, 8], Enumerable.Range(0, 5).Select(_ => times.Next(2, queueLength: 4)));
        clock.Now += TimeSpan.FromSeconds(5);
        Assert.Equal(5, times.Next(2, queueLength: 4)); // the last of those waits three seconds more
        clock.Now += TimeSpan.FromHours(1);
        Assert.Equal(1, times.Next(0.01, queueLength: 4));
        Assert.Equal(600, times.Next(1e9, queueLength: 4));
    }

    [Fact]
    public async Task What_is_refused_leaves_nothing()
    {
        using var folder = new TemporaryFolder();
        await using var service = new ServiceUnderTest(folder.Path, ("QueueLength", "1"), ("ConcurrentSolves", "1"), ("SmallSolveSeconds", "0"));
        using var client = service.CreateClient();
        using (var running = await client.SendAsync(Requests.Preferring("respond-async", Boards.SlowRequest("runs")), TestContext.Current.CancellationToken)) Assert.Equal(HttpStatusCode.Accepted, running.StatusCode);
        while ((await client.Get("/v1/solutions").Success()).GetProperty("solutions")[0].GetProperty("state").GetString() != "running") await Task.Delay(20, TestContext.Current.CancellationToken);
        using (var waiting = await client.SendAsync(Requests.Preferring("respond-async", Boards.Request(Boards.Plate("waits"))), TestContext.Current.CancellationToken)) Assert.Equal(HttpStatusCode.Accepted, waiting.StatusCode);
        using (var refused = await client.PostJson("/v1/solutions", Boards.Request(Boards.Plate("refused")))) Assert.Equal(HttpStatusCode.TooManyRequests, refused.StatusCode);
        using (var refused = await client.PostJson("/v1/studies", $$"""{ "layout": {{Boards.Plate("refused")}}, "conditions": {{Boards.Conditions}}, "axes": [{ "quantity": "ambientCelsius", "values": [20, 30] }] }"""))
            Assert.Equal(HttpStatusCode.TooManyRequests, refused.StatusCode);
        Assert.Equal(["runs", "waits"], (await client.Get("/v1/layouts").Success()).GetProperty("layouts").EnumerateArray().Select(layout => layout.GetProperty("name").GetString()).Order());
        Assert.Empty((await client.Get("/v1/studies").Success()).GetProperty("studies").EnumerateArray());
    }

    [Fact]
    public async Task A_layout_that_came_with_a_request_has_its_summary_when_it_is_posted_itself()
    {
        using var folder = new TemporaryFolder();
        await using var service = new ServiceUnderTest(folder.Path);
        using var client = service.CreateClient();
        string layout = (await client.Solve(Boards.Plate("solved"))).GetProperty("layout").GetString()!;
        var receipt = await client.PostJson("/v1/layouts", Boards.Plate("solved")).Success();
        Assert.Equal(layout, receipt.GetProperty("id").GetString());
        Assert.Equal(38 * 28, receipt.GetProperty("summary").GetProperty("layers")[1].GetProperty("copperMm2").GetDouble(), 1e-6);
        Assert.Equal(13, receipt.GetProperty("summary").GetProperty("holes").EnumerateArray().Sum(hole => hole.GetProperty("count").GetInt32()));
    }

    private sealed class Clock : TimeProvider
    {
        public DateTimeOffset Now { get; set; } = DateTimeOffset.UnixEpoch;

        public override DateTimeOffset GetUtcNow() => Now;
    }
}
