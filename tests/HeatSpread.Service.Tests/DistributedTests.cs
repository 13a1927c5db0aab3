using System.Diagnostics;
using System.Net;
using System.Text;
using System.Text.Json;
using HeatSpread.Benchmarks.Service;
using HeatSpread.Service.Access;
using HeatSpread.Service.Distributed;
using HeatSpread.Service.Jobs;
using HeatSpread.Service.Layouts;
using HeatSpread.Service.Solutions;
using HeatSpread.Service.Storage;
using Microsoft.Extensions.DependencyInjection;

namespace HeatSpread.Service.Tests;

/// <summary>Several hosts of the service in this process on one queue server, which is a real one.</summary>
public sealed class DistributedTests : IDisposable
{
    private readonly TemporaryFolder _folder = new();
    private readonly NatsServer _queue;

    public DistributedTests()
    {
        Assert.SkipWhen(NatsServer.Program is null, NatsServer.NotInstalled);
        _queue = new NatsServer(Path.Combine(_folder.Path, "queue"));
    }

    [Fact]
    public async Task Progress_goes_on_at_another_replica_and_a_cancellation_there_ends_the_solve()
    {
        await using ServiceUnderTest first = Host("web"), second = Host("web"), worker = Host("worker");
        using HttpClient one = await Ready(first), other = await Ready(second), unused = await Ready(worker);
        using var accepted = await one.SendAsync(Requests.Preferring("respond-async", Boards.SlowRequest("far")), TestContext.Current.CancellationToken);
        Assert.Equal(HttpStatusCode.Accepted, accepted.StatusCode);
        string address = accepted.Headers.Location!.ToString();
        var seen = await Watch(one, address, most: 3);
        Assert.Equal(["queued", "running", "running"], seen.Select(e => JsonElement.Parse(e.Data).GetProperty("state").GetString()));
        var resumed = await Watch(other, address, most: 2, lastId: seen[1].Id);
        Assert.Equal(seen[2], resumed[0]); // the same event under the same id, whoever tells it
        Assert.Equal("running", (await other.Get(address).Success()).GetProperty("state").GetString());
        Assert.Contains((await other.Get("/v1/solutions").Success()).GetProperty("solutions").EnumerateArray(), s => s.GetProperty("name").GetString() == "far");

        using (var cancelled = await other.Delete(address)) Assert.Equal(HttpStatusCode.NoContent, cancelled.StatusCode);
        Assert.Equal("cancelled", (await Watch(one, address, lastId: seen[2].Id))[^1].Type);
        Assert.Equal("cancelled", (await one.Get(address).Success()).GetProperty("state").GetString());
        // The worker's one thread is free again, and what it solves is had from either replica.
        var solution = await other.Solve(Boards.Plate("near"));
        string id = solution.GetProperty("id").GetString()!;
        Assert.Equal(solution.GetRawText(), (await one.Get($"/v1/solutions/{id}").Success()).GetRawText());
        using (var picture = await one.Get($"/v1/solutions/{id}/layers/L1.png")) Assert.Equal(HttpStatusCode.OK, picture.StatusCode);
        using (var removed = await one.Delete($"/v1/solutions/{id}")) Assert.Equal(HttpStatusCode.NoContent, removed.StatusCode);
        using (var gone = await other.Get($"/v1/solutions/{id}/layers/L1.png")) Assert.Equal(HttpStatusCode.NotFound, gone.StatusCode);
        using (var none = await unused.Get("/v1/solutions")) Assert.Equal(HttpStatusCode.NotFound, none.StatusCode); // a worker answers for its health only
    }

    [Fact]
    public async Task Work_is_cancelled_when_the_last_client_at_any_replica_has_gone_away()
    {
        await using ServiceUnderTest first = Host("web"), second = Host("web"), worker = Host("worker");
        using HttpClient one = await Ready(first), other = await Ready(second), unused = await Ready(worker);
        using CancellationTokenSource leavesOne = new(), leavesOther = new();
        var atOne = one.PostAsync("/v1/solutions", Requests.Json(Boards.SlowRequest("left")), leavesOne.Token);
        var states = first.Services.GetRequiredService<BucketMirror<WorkState>>();
        await Held(_ => true); // put in
        var atOther = other.PostAsync("/v1/solutions", Requests.Json(Boards.SlowRequest("left")), leavesOther.Token);
        await Held(state => state is { Replicas: 2, State: SolutionState.Running });
        await leavesOne.CancelAsync();
        Assert.Equal(SolutionState.Running, (await Held(state => state.Replicas == 1)).State);
        await leavesOther.CancelAsync();
        await Held(state => state.State == SolutionState.Cancelled);
        await Assert.ThrowsAnyAsync<OperationCanceledException>(() => atOne);
        await Assert.ThrowsAnyAsync<OperationCanceledException>(() => atOther);
        await one.Solve(Boards.Plate("near")); // the worker's one thread is free again
        // Who was told to come back is waited for by nobody, and yet the work goes on.
        using (var promised = await one.SendAsync(Requests.Preferring("respond-async", Boards.Request(Boards.Plate("promised"))), TestContext.Current.CancellationToken)) Assert.Equal(HttpStatusCode.Accepted, promised.StatusCode);
        while (!(await one.Get("/v1/solutions").Success()).GetProperty("solutions").EnumerateArray().Any(s => s.GetProperty("name").GetString() == "promised" && s.GetProperty("state").GetString() == "solved"))
            await Task.Delay(20, TestContext.Current.CancellationToken);

        async Task<WorkState> Held(Func<WorkState, bool> isSo)
        {
            while (true)
            {
                if (states.Known.Select(state => state.Value.Value).FirstOrDefault(isSo) is { } found) return found;
                await Task.Delay(10, TestContext.Current.CancellationToken);
            }
        }
    }

    /// <summary>A worker that was held up for longer than its lease still runs what has come to another, which is stopped and gives it back.</summary>
    [Fact]
    public async Task What_another_worker_gives_back_is_not_cancelled_where_it_runs()
    {
        await using ServiceUnderTest web = Host("web"), worker = Host("worker", ("LeaseSeconds", "1"));
        using HttpClient client = await Ready(web), unused = await Ready(worker);
        using var accepted = await client.SendAsync(Requests.Preferring("respond-async", Boards.SlowRequest("held up")), TestContext.Current.CancellationToken);
        Assert.Equal(HttpStatusCode.Accepted, accepted.StatusCode);
        var states = web.Services.GetRequiredService<BucketMirror<WorkState>>();
        KeyValuePair<string, BucketValue<WorkState>> running;
        while ((running = states.Known.FirstOrDefault(state => state.Value.Value is { State: SolutionState.Running, Promised: true })).Key is null) await Task.Delay(10, TestContext.Current.CancellationToken);
        Assert.NotNull(await states.Set(running.Key, running.Value.Value with { State = SolutionState.Queued }, running.Value.Revision, TestContext.Current.CancellationToken));

        await Task.Delay(TimeSpan.FromSeconds(1.5), TestContext.Current.CancellationToken); // the lease is prolonged some times
        Assert.Equal(SolutionState.Queued, (await states.Get(running.Key, TestContext.Current.CancellationToken))!.Value.State);
        string address = accepted.Headers.Location!.ToString();
        using (var cancelled = await client.Delete(address)) Assert.Equal(HttpStatusCode.NoContent, cancelled.StatusCode);
        await client.Solve(Boards.Plate("next")); // and it hears when it is cancelled: its one thread is free
        Assert.Equal("cancelled", (await client.Get(address).Success()).GetProperty("state").GetString());
    }

    /// <summary>Whatever makes a worker give up, only who cancels work makes it cancelled.</summary>
    [Fact]
    public async Task What_a_worker_gives_up_though_nobody_cancelled_it_is_done_again()
    {
        await using var web = Host("web");
        using var client = await Ready(web);
        string address = await Accept(client, "given up");
        var taker = web.Services.GetRequiredService<WorkTaker>();
        var job = Assert.IsType<LeasedJob>(await taker.Take(onlySmall: false, TestContext.Current.CancellationToken));
        await taker.Finish(job, SolveRun.CancelledProblem);
        var state = Assert.Single(web.Services.GetRequiredService<BucketMirror<WorkState>>().Known).Value.Value;
        Assert.Equal((SolutionState.Queued, 1), (state.State, state.Attempts));
        await using var worker = Host("worker");
        using var unused = await Ready(worker);
        string? answer = null;
        for (var watch = Stopwatch.StartNew(); answer != "solved" && watch.Elapsed < TimeSpan.FromMinutes(1);)
        {
            await Task.Delay(50, TestContext.Current.CancellationToken);
            answer = (await client.Get(address).Success()).GetProperty("state").GetString();
        }
        Assert.Equal("solved", answer);
    }

    [Fact]
    public async Task A_server_that_is_killed_in_mid_solve_and_comes_back_loses_nothing()
    {
        await using ServiceUnderTest web = Host("web", ("LeaseSeconds", "3")), worker = Host("worker", ("LeaseSeconds", "3"));
        using HttpClient client = await Ready(web), unused = await Ready(worker);
        var addresses = new List<string>();
        foreach (string name in (string[])["runs", "waits", "waits too"])
        {
            using var accepted = await client.SendAsync(Requests.Preferring("respond-async", Boards.Request(Boards.Plate(name), grid: """{ "pitchMm": 0.12 }""")), TestContext.Current.CancellationToken);
            Assert.Equal(HttpStatusCode.Accepted, accepted.StatusCode);
            addresses.Add(accepted.Headers.Location!.ToString());
        }
        while ((await client.Get(addresses[0]).Success()).GetProperty("state").GetString() == "queued") await Task.Delay(5, TestContext.Current.CancellationToken);
        _queue.Kill();
        await Task.Delay(TimeSpan.FromSeconds(4), TestContext.Current.CancellationToken); // longer than the lease
        _queue.StartAgain();
        (await Ready(web)).Dispose();
        foreach (string address in addresses)
        {
            string? state;
            do
            {
                await Task.Delay(50, TestContext.Current.CancellationToken);
                state = (await client.Get(address).Success()).GetProperty("state").GetString();
            }
            while (state is "queued" or "running");
            Assert.Equal("solved", state);
            using var field = await client.Get(address + "/layers/L1.npy");
            Assert.Equal(HttpStatusCode.OK, field.StatusCode);
        }
        Assert.Equal(3, (await client.Get("/v1/solutions").Success()).GetProperty("solutions").GetArrayLength());
    }

    [Fact]
    public async Task What_one_worker_has_done_for_a_tenant_counts_at_all()
    {
        await using ServiceUnderTest first = Host("worker"), second = Host("worker");
        (await Ready(first)).Dispose();
        (await Ready(second)).Dispose();
        WorkSource one = first.Services.GetRequiredService<WorkSource>(), other = second.Services.GetRequiredService<WorkSource>();
        foreach (string tenant in (string[])["a", "b"])
        {
            ulong sequence = await other.Put(new(tenant, "0", tenant, null), 1, TestContext.Current.CancellationToken); // makes it known there
            await other.Withdraw(sequence, TestContext.Current.CancellationToken);
        }
        string[] before = other.Order();
        while (other.Order().SequenceEqual(before)) // until it listens
        {
            await one.Charge(before[0], 1);
            await Task.Delay(20, TestContext.Current.CancellationToken);
        }
        Assert.Equal(before.Reverse(), other.Order());
    }

    [Fact]
    public async Task A_full_queue_is_429_at_every_replica_and_what_waits_outlives_the_server_and_all_processes()
    {
        string[] taken;
        await using (ServiceUnderTest first = Host("web", ("QueueLength", "2")), second = Host("web", ("QueueLength", "2")))
        {
            using HttpClient one = await Ready(first), other = await Ready(second);
            taken = [await Accept(one, "first"), await Accept(other, "second")];
            Assert.Equal(taken[0], await Accept(other, "first")); // an equal request takes part
            using var full = await one.SendAsync(Requests.Preferring("respond-async", Boards.Request(Boards.Plate("third"))), TestContext.Current.CancellationToken);
            Assert.Equal(HttpStatusCode.TooManyRequests, full.StatusCode);
            Assert.NotNull(full.Headers.RetryAfter);
            _queue.Kill();
            using (var away = await one.Get("/health/ready")) Assert.Equal(HttpStatusCode.ServiceUnavailable, away.StatusCode);
            using (var live = await one.Get("/health/live")) Assert.Equal(HttpStatusCode.OK, live.StatusCode);
            using var refused = await one.SendAsync(Requests.Preferring("respond-async", Boards.Request(Boards.Plate("third"))), TestContext.Current.CancellationToken);
            Assert.Equal(HttpStatusCode.ServiceUnavailable, refused.StatusCode);
            Assert.Equal("urn:heatspread:problem:queue-away", (await refused.Body()).GetProperty("type").GetString());
            _queue.StartAgain();
            (await Ready(first)).Dispose();
        }
        await using var both = Host("both");
        using var client = await Ready(both);
        foreach (string address in taken)
        {
            JsonElement answer;
            while ((answer = await client.Get(address).Success()).GetProperty("state").GetString() != "solved") await Task.Delay(20, TestContext.Current.CancellationToken);
        }
    }

    [Fact]
    public async Task Tenants_are_apart_and_keys_and_the_audit_log_are_those_of_all_replicas()
    {
        await using ServiceUnderTest first = Host("both", ("RequireKeys", "true")), second = Host("web", ("RequireKeys", "true"));
        using HttpClient one = await Ready(first), other = await Ready(second), admin = second.CreateClient();
        var (adminKey, adminText) = ApiKey.Make("admin", "one", Scope.Read | Scope.Write | Scope.Admin, DateTimeOffset.UtcNow, null);
        first.Services.GetRequiredService<IKeyStore>().Add(adminKey);
        Authorize(one, adminText);
        Authorize(admin, adminText);
        var made = await admin.PostJson("/v1/keys", """{ "name": "other", "tenant": "other", "scopes": ["read", "write"] }""").Success();
        Authorize(other, made.GetProperty("key").GetString()!);
        string id = (await one.Solve(Boards.Plate("apart"))).GetProperty("id").GetString()!;
        foreach (string address in (string[])[$"/v1/solutions/{id}", $"/v1/solutions/{id}/layers/L1.npy", "/v1/boards/apart/latest"])
        {
            using var response = await other.Get(address);
            Assert.Equal(HttpStatusCode.NotFound, response.StatusCode);
        }
        Assert.Equal(id, (await other.Solve(Boards.Plate("apart"))).GetProperty("id").GetString()); // its own solve
        Assert.Equal(2, (await admin.Get("/v1/keys").Success()).GetProperty("keys").GetArrayLength());
        string audit = Encoding.UTF8.GetString(await (await admin.Get("/v1/audit")).Bytes());
        Assert.Equal(3, audit.Split('\n', StringSplitOptions.RemoveEmptyEntries).Length);
        using (var removed = await admin.Delete($"/v1/keys/{made.GetProperty("details").GetProperty("id").GetString()}")) Assert.Equal(HttpStatusCode.NoContent, removed.StatusCode);
        HttpStatusCode status;
        do
        {
            using var refused = await other.Get("/v1/layouts");
            status = refused.StatusCode;
        }
        while (status == HttpStatusCode.OK); // the other replica hears of it
        Assert.Equal(HttpStatusCode.Unauthorized, status);
    }

    [Fact]
    public async Task An_entry_is_written_once_by_whoever_is_first_and_a_damaged_one_is_set_aside()
    {
        await using ServiceUnderTest first = Host("web"), second = Host("web");
        (await Ready(first)).Dispose();
        (await Ready(second)).Dispose();
        const string id = "0123456789abcdef0123456789abcdef";
        var labels = new LayoutLabels("board", "A", "mm", DateTimeOffset.UnixEpoch);
        IEntryStore<LayoutLabels>[] stores = [.. new[] { first, second }.Select(host => host.Services.GetRequiredService<IStorage>().Open("", "layouts", ServiceJson.Written.LayoutLabels))];
        bool[] added = await Task.WhenAll(Enumerable.Range(0, 8).Select(i => Task.Run(() => stores[i % 2].Add(id, labels, [new("file", Encoding.ASCII.GetBytes($"content {i}"))]))));
        Assert.Single(added, isFirst => isFirst);
        byte[] winner = Encoding.ASCII.GetBytes($"content {Array.IndexOf(added, true)}");
        Assert.All(stores, store => Assert.Equal(winner, store.Read(id, "file")));

        var link = first.Services.GetRequiredService<NatsLink>();
        var index = first.Services.GetRequiredService<BucketMirror<Manifest>>();
        string file = (await index.Get($"_.layouts.{id}", TestContext.Current.CancellationToken))!.Value.Files[0].Object;
        await link.Files.PutAsync(file, "harmed"u8.ToArray(), TestContext.Current.CancellationToken);
        Assert.Throws<DamagedEntryException>(() => stores[0].Read(id, "file"));
        Assert.Null(stores[0].Read(id, "file"));
        Assert.True(stores[0].Add(id, labels, [new("file", winner)]));
        Assert.Equal(winner, stores[0].Read(id, "file"));
    }

    public void Dispose()
    {
        _queue?.Dispose();
        _folder.Dispose();
    }

    private ServiceUnderTest Host(string role, params (string Key, string Value)[] settings) => new(
        Path.Combine(_folder.Path, "unused"),
        [("Queue", "nats"), ("QueueAddress", _queue.Address), ("Role", role), ("ConcurrentSolves", "1"), ("SmallSolveSeconds", "0"), .. settings]);

    private static async Task<HttpClient> Ready(ServiceUnderTest host)
    {
        var client = host.CreateClient();
        while (true)
        {
            using var response = await client.Get("/health/ready");
            if (response.IsSuccessStatusCode) return client;
            await Task.Delay(50, TestContext.Current.CancellationToken);
        }
    }

    private static void Authorize(HttpClient client, string key) => client.DefaultRequestHeaders.TryAddWithoutValidation("Authorization", "Bearer " + key);

    private static async Task<string> Accept(HttpClient client, string name)
    {
        using var response = await client.SendAsync(Requests.Preferring("respond-async", Boards.Request(Boards.Plate(name))), TestContext.Current.CancellationToken);
        Assert.Equal(HttpStatusCode.Accepted, response.StatusCode);
        return response.Headers.Location!.ToString();
    }

    private static async Task<List<(string Type, string? Id, string Data)>> Watch(HttpClient client, string address, int most = int.MaxValue, string? lastId = null)
    {
        using var request = new HttpRequestMessage(HttpMethod.Get, address + "/events");
        if (lastId is not null) request.Headers.Add("Last-Event-ID", lastId);
        using var response = await client.SendAsync(request, HttpCompletionOption.ResponseHeadersRead, TestContext.Current.CancellationToken);
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
