using System.Net;
using System.Text.Json;

namespace HeatSpread.Service.Tests;

public sealed class LongWorkTests(SharedService service)
{
    private readonly HttpClient _client = service.Client;

    [Fact]
    public async Task Events_tell_of_every_step_and_end_with_the_solution()
    {
        string address = await Accepted(Boards.Request(Boards.Plate("events")));
        var events = await Watch(address);
        Assert.Equal("solved", events[^1].Type);
        Assert.Equal(JsonElement.Parse(events[^1].Data).GetProperty("peak").GetRawText(), (await _client.Get(address).Success()).GetProperty("peak").GetRawText());
        Assert.All(events.SkipLast(1), e => Assert.Equal("progress", e.Type));

        // Of one that is stored: the solution at once; and after it nothing, which a browser takes as the end.
        Assert.Equal(events[^1], Assert.Single(await Watch(address)));
        using var request = new HttpRequestMessage(HttpMethod.Get, address + "/events") { Headers = { { "Last-Event-ID", events[^1].Id } } };
        using var nothing = await _client.SendAsync(request, TestContext.Current.CancellationToken);
        Assert.Equal(HttpStatusCode.NoContent, nothing.StatusCode);
    }

    [Fact]
    public async Task A_stream_that_broke_off_goes_on_after_the_last_event_seen()
    {
        string address = await Accepted(Boards.SlowRequest("resume"));
        var first = await Watch(address, most: 3);
        Assert.Equal(["queued", "running"], first.Take(2).Select(e => JsonElement.Parse(e.Data).GetProperty("state").GetString()));
        var second = await Watch(address, most: 1, lastId: first[1].Id);
        Assert.Equal(first[2], second[0]);
        var afresh = await Watch(address, most: 1, lastId: "of-another-run-7");
        Assert.Equal(first[0], afresh[0]);

        using (var cancelled = await _client.Delete(address)) Assert.Equal(HttpStatusCode.NoContent, cancelled.StatusCode);
        var rest = await Watch(address, lastId: first[2].Id);
        Assert.Equal("cancelled", rest[^1].Type);
        Assert.Equal("urn:heatspread:problem:cancelled", JsonElement.Parse(rest[^1].Data).GetProperty("problem").GetProperty("type").GetString());
    }

    [Fact]
    public async Task Who_watches_a_solve_that_fails_is_told_why()
    {
        string sealedIn = Boards.Conditions.Replace("12", "0", StringComparison.Ordinal).Replace("8", "0", StringComparison.Ordinal);
        string isolated = Boards.Plate("sealed in").Replace("\"to\": \"ambient\"", "\"to\": \"board\"", StringComparison.Ordinal);
        using var response = await _client.SendAsync(Requests.Preferring("respond-async", Boards.Request(isolated, sealedIn)), TestContext.Current.CancellationToken);
        if (response.StatusCode == HttpStatusCode.UnprocessableEntity) return; // found before it was queued
        var events = await Watch(response.Headers.Location!.ToString());
        Assert.Equal("failed", events[^1].Type);
        Assert.Equal("urn:heatspread:problem:no-way-out", JsonElement.Parse(events[^1].Data).GetProperty("problem").GetProperty("type").GetString());
    }

    [Fact]
    public async Task A_wait_that_is_over_before_the_solve_is_202_and_one_that_is_not_is_the_solution()
    {
        using (var slow = await _client.SendAsync(Requests.Preferring("wait=1", Boards.SlowRequest("wait short")), TestContext.Current.CancellationToken))
        {
            Assert.Equal(HttpStatusCode.Accepted, slow.StatusCode);
            Assert.Equal("wait=1", Assert.Single(slow.Headers.GetValues("Preference-Applied")));
            (await _client.Delete(slow.Headers.Location!.ToString())).Dispose();
        }
        using var quick = await _client.SendAsync(Requests.Preferring("respond-async, wait=60", Boards.Request(Boards.Plate("wait long"))), TestContext.Current.CancellationToken);
        Assert.Equal(HttpStatusCode.OK, quick.StatusCode);
    }

    [Fact]
    public async Task There_are_no_events_of_what_is_not_known()
    {
        using var response = await _client.Get("/v1/solutions/0123/events");
        Assert.Equal(HttpStatusCode.NotFound, response.StatusCode);
    }

    private async Task<string> Accepted(string request)
    {
        using var response = await _client.SendAsync(Requests.Preferring("respond-async", request), TestContext.Current.CancellationToken);
        Assert.Equal(HttpStatusCode.Accepted, response.StatusCode);
        return response.Headers.Location!.ToString();
    }

    /// <summary>Reads a stream to its end, or a number of events.</summary>
    private async Task<List<(string Type, string? Id, string Data)>> Watch(string address, int most = int.MaxValue, string? lastId = null)
    {
        using var request = new HttpRequestMessage(HttpMethod.Get, address + "/events");
        if (lastId is not null) request.Headers.Add("Last-Event-ID", lastId);
        using var response = await _client.SendAsync(request, HttpCompletionOption.ResponseHeadersRead, TestContext.Current.CancellationToken);
        Assert.Equal("text/event-stream", response.Content.Headers.ContentType?.MediaType);
        var parser = System.Net.ServerSentEvents.SseParser.Create(await response.Content.ReadAsStreamAsync(TestContext.Current.CancellationToken));
        var events = new List<(string, string?, string)>();
        await foreach (var item in parser.EnumerateAsync(TestContext.Current.CancellationToken))
        {
            events.Add((item.EventType, item.EventId, item.Data));
            if (events.Count == most) break;
        }
        return events;
    }
}
