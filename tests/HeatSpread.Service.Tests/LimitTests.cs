using System.Net;

namespace HeatSpread.Service.Tests;

/// <summary>Limits, each reached once.</summary>
public sealed class LimitTests
{
    [Fact]
    public async Task A_full_queue_is_429_with_a_time_to_come_back_and_what_is_removed_makes_room()
    {
        using var folder = new TemporaryFolder();
        await using var service = new ServiceUnderTest(folder.Path, ("ConcurrentSolves", "1"), ("QueueLength", "1"));
        using var client = service.CreateClient();
        var taken = new List<string>();
        HttpResponseMessage response;
        do // one runs and one waits; how soon the first is taken up is the worker's affair
        {
            response = await client.SendAsync(Requests.Preferring("respond-async", Boards.SlowRequest($"queue {taken.Count}")), TestContext.Current.CancellationToken);
            if (response.StatusCode == HttpStatusCode.Accepted) taken.Add(response.Headers.Location!.ToString());
        }
        while (response.StatusCode == HttpStatusCode.Accepted && taken.Count < 20);
        Assert.Equal(HttpStatusCode.TooManyRequests, response.StatusCode);
        Assert.NotNull(response.Headers.RetryAfter);
        Assert.Equal("urn:heatspread:problem:busy", (await response.Body()).GetProperty("type").GetString());
        response.Dispose();
        foreach (string address in taken)
        {
            using var cancelled = await client.Delete(address);
            Assert.Equal(HttpStatusCode.NoContent, cancelled.StatusCode);
        }
        Assert.Equal("solved", (await client.Solve(Boards.Plate("after the queue"))).GetProperty("state").GetString());
    }

    [Fact]
    public async Task A_solve_that_would_take_too_much_memory_is_refused_by_name_and_a_chosen_grid_stays_below()
    {
        using var folder = new TemporaryFolder();
        await using var service = new ServiceUnderTest(folder.Path, ("MaximumSolveBytes", "4000000"));
        using var client = service.CreateClient();
        using (var refused = await client.PostJson("/v1/solutions", Boards.Request(Boards.Plate("memory"), grid: """{ "pitchMm": 0.25 }""")))
        {
            Assert.Equal(HttpStatusCode.UnprocessableEntity, refused.StatusCode);
            var error = Assert.Single((await refused.Body()).GetProperty("errors").EnumerateArray());
            Assert.Equal("/grid/pitchMm", error.GetProperty("pointer").GetString());
            Assert.Contains("MaximumSolveBytes", error.GetProperty("detail").GetString(), StringComparison.Ordinal);
        }
        var solution = await client.Solve(Boards.Plate("memory"), grid: "null");
        Assert.InRange(solution.GetProperty("accuracy").GetProperty("unknowns").GetInt32(), 1, 4_000_000 / 384);
    }

    [Fact]
    public async Task On_a_real_port_a_board_is_taken_solved_and_drawn_and_a_large_body_is_413()
    {
        using var folder = new TemporaryFolder();
        await using var service = new ServiceUnderTest(folder.Path, ("MaximumBodyBytes", "20000"));
        service.UseKestrel(0);
        service.StartServer();
        using var client = service.CreateClient();
        string id = await client.Take(Boards.Plate("port"));
        var solution = await client.Solve($"\"{id}\"");
        using var map = await client.Get(solution.GetProperty("layers")[0].GetProperty("image").GetString()! + "?width=640");
        using var picture = SkiaSharp.SKBitmap.Decode(await map.Bytes());
        Assert.Equal(640, picture.Width);

        using var large = Requests.Json(Boards.Plate("large").PadRight(20_001));
        using var refused = await client.PostAsync("/v1/layouts", large, TestContext.Current.CancellationToken);
        await AssertTooLarge(refused);
        using var form = ImportTests.Form("{}", ("a.gbr", new byte[30_000]));
        using var refusedForm = await client.PostAsync("/v1/layouts", form, TestContext.Current.CancellationToken);
        await AssertTooLarge(refusedForm);
        using var chunked = new HttpRequestMessage(HttpMethod.Post, "/v1/layouts") { Content = Requests.Json(new string(' ', 30_000)), Headers = { TransferEncodingChunked = true } };
        using var refusedChunks = await client.SendAsync(chunked, TestContext.Current.CancellationToken);
        await AssertTooLarge(refusedChunks);
    }

    [Fact]
    public async Task Limits_of_a_layout_are_settings_and_the_one_that_is_reached_is_named()
    {
        using var folder = new TemporaryFolder();
        await using var service = new ServiceUnderTest(folder.Path, ("Layout:Parts", "1"), ("Layout:Holes", "5"), ("Layout:Depth", "9"), ("Layout:Vertices", "20"));
        using var client = service.CreateClient();
        using var refused = await client.PostJson("/v1/layouts", Boards.Plate("limits"));
        Assert.Equal(HttpStatusCode.UnprocessableEntity, refused.StatusCode);
        string errors = (await refused.Body()).GetProperty("errors").GetRawText();
        Assert.All((string[])["Parts", "Holes", "Vertices"], name => Assert.Contains(name, errors, StringComparison.Ordinal));
        using var deep = await client.PostJson("/v1/layouts", new string('[', 10) + new string(']', 10));
        Assert.Equal(HttpStatusCode.UnprocessableEntity, deep.StatusCode);
        Assert.Equal("urn:heatspread:problem:too-deep", (await deep.Body()).GetProperty("type").GetString());
    }

    [Fact]
    public async Task A_request_that_takes_too_long_is_504_and_its_solve_is_cancelled()
    {
        using var folder = new TemporaryFolder();
        await using var service = new ServiceUnderTest(folder.Path, ("RequestTimeoutSeconds", "1"));
        using var client = service.CreateClient();
        using var response = await client.PostJson("/v1/solutions", Boards.SlowRequest("too long"));
        Assert.Equal(HttpStatusCode.GatewayTimeout, response.StatusCode);
        Assert.Equal("urn:heatspread:problem:timed-out", (await response.Body()).GetProperty("type").GetString());
        while ((await client.Get("/v1/solutions").Success()).GetProperty("solutions").GetArrayLength() > 0) await Task.Delay(20, TestContext.Current.CancellationToken);
    }

    private static async Task AssertTooLarge(HttpResponseMessage response)
    {
        Assert.Equal(HttpStatusCode.RequestEntityTooLarge, response.StatusCode);
        var problem = await response.Body();
        Assert.Equal("urn:heatspread:problem:body-too-large", problem.GetProperty("type").GetString());
        Assert.Contains("20000", problem.GetProperty("detail").GetString(), StringComparison.Ordinal);
    }
}
