using System.Net;
using System.Text.Json;

namespace HeatSpread.Service.Tests;

/// <summary>What was answered 202 is solved, whatever happens to the process.</summary>
public sealed class AcceptedTests : IDisposable
{
    private readonly TemporaryFolder _folder = new();

    [Fact]
    public async Task An_accepted_request_is_finished_by_the_next_start_and_one_that_was_cancelled_is_not()
    {
        string kept, dropped;
        await using (var first = new ServiceUnderTest(_folder.Path, ("ConcurrentSolves", "1"), ("SmallSolveSeconds", "0")))
        {
            using var client = first.CreateClient();
            (await Accept(client, Boards.SlowRequest("runs for long"))).Dispose();
            using var waiting = await Accept(client, Boards.Request(Boards.Plate("waits")));
            using var cancelled = await Accept(client, Boards.Request(Boards.Plate("cancelled")));
            (kept, dropped) = (waiting.Headers.Location!.ToString(), cancelled.Headers.Location!.ToString());
            (await client.Delete(dropped)).Dispose();
            Assert.Equal(2, Directory.GetDirectories(Path.Combine(_folder.Path, "accepted")).Length);
            // A start on the folder as it is now is a start after a kill: nothing is written at the end.
            CopyFolder(_folder.Path, _folder.Path + "-killed");
        }
        using var killed = new Removal(_folder.Path + "-killed");
        foreach (string data in (string[])[_folder.Path, _folder.Path + "-killed"])
        {
            await using var second = new ServiceUnderTest(data, ("ConcurrentSolves", "2"));
            using var again = second.CreateClient();
            Assert.Equal("cancelled", (await again.Get(dropped).Success()).GetProperty("state").GetString());
            var answer = await again.Get(kept).Success(); // known from the first moment
            while (answer.GetProperty("state").GetString() != "solved")
            {
                await Task.Delay(20, TestContext.Current.CancellationToken);
                answer = await again.Get(kept).Success();
            }
            Assert.Equal("waits", answer.GetProperty("name").GetString());
            while (Directory.Exists(Path.Combine(data, "accepted", answer.GetProperty("id").GetString()!))) await Task.Delay(20, TestContext.Current.CancellationToken);
        }
    }

    [Fact]
    public async Task A_failure_is_remembered_over_a_restart()
    {
        string address;
        await using (var first = new ServiceUnderTest(_folder.Path, ("SolveTimeoutSeconds", "1")))
        {
            using var client = first.CreateClient();
            using var accepted = await Accept(client, Boards.SlowRequest("too long"));
            address = accepted.Headers.Location!.ToString();
            await AssertFails(client);
        }
        await using var second = new ServiceUnderTest(_folder.Path);
        using var again = second.CreateClient();
        await AssertFails(again);
        (await again.Delete(address)).Dispose();
        using var gone = await again.Get(address);
        Assert.Equal(HttpStatusCode.NotFound, gone.StatusCode);

        async Task AssertFails(HttpClient client)
        {
            JsonElement end;
            while ((end = await client.Get(address).Success()).GetProperty("state").GetString() is "queued" or "running") await Task.Delay(20, TestContext.Current.CancellationToken);
            Assert.Equal("failed", end.GetProperty("state").GetString());
            Assert.Equal("urn:heatspread:problem:solve-too-long", end.GetProperty("problem").GetProperty("type").GetString());
            Assert.Contains("SolveTimeoutSeconds", end.GetProperty("problem").GetProperty("detail").GetString(), StringComparison.Ordinal);
        }
    }

    [Fact]
    public async Task A_request_that_ends_the_process_each_time_is_given_up()
    {
        string address;
        await using (var first = new ServiceUnderTest(_folder.Path, ("ConcurrentSolves", "1")))
        {
            using var client = first.CreateClient();
            using var accepted = await Accept(client, Boards.SlowRequest("poison"));
            address = accepted.Headers.Location!.ToString();
            string attempts = Path.Combine(_folder.Path, "attempts", address.Split('/')[^1]);
            while (!File.Exists(attempts)) await Task.Delay(20, TestContext.Current.CancellationToken);
        }
        await using var second = new ServiceUnderTest(_folder.Path, ("MaximumAttempts", "1"));
        using var again = second.CreateClient();
        JsonElement end;
        while ((end = await again.Get(address).Success()).GetProperty("state").GetString() == "queued") await Task.Delay(20, TestContext.Current.CancellationToken);
        Assert.Equal("urn:heatspread:problem:gave-up", end.GetProperty("problem").GetProperty("type").GetString());
        Assert.Empty(Directory.GetDirectories(Path.Combine(_folder.Path, "accepted")));
    }

    public void Dispose() => _folder.Dispose();

    private static async Task<HttpResponseMessage> Accept(HttpClient client, string request)
    {
        var response = await client.SendAsync(Requests.Preferring("respond-async", request), TestContext.Current.CancellationToken);
        Assert.Equal(HttpStatusCode.Accepted, response.StatusCode);
        return response;
    }

    private static void CopyFolder(string from, string to)
    {
        foreach (string file in Directory.GetFiles(from, "*", SearchOption.AllDirectories))
        {
            string copy = Path.Combine(to, Path.GetRelativePath(from, file));
            Directory.CreateDirectory(Path.GetDirectoryName(copy)!);
            if (Path.GetFileName(file) != "lock") File.Copy(file, copy);
        }
    }

    private sealed class Removal(string folder) : IDisposable
    {
        public void Dispose() => Directory.Delete(folder, recursive: true);
    }
}
