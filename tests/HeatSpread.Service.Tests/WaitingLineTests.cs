using HeatSpread.Service.Jobs;
using HeatSpread.Service.Jobs.Embedded;
using HeatSpread.Service.Layouts;
using HeatSpread.Service.Solutions;
using HeatSpread.Service.Tenants;
using Microsoft.Extensions.DependencyInjection;

namespace HeatSpread.Service.Tests;

/// <summary>The order of the queue, without solving.</summary>
public sealed class WaitingLineTests : IDisposable
{
    private readonly TemporaryFolder _folder = new();
    private readonly ServiceUnderTest _service;
    private readonly WaitingLine _line = new();

    public WaitingLineTests() => _service = new ServiceUnderTest(_folder.Path);

    [Fact]
    public void One_tenant_s_many_jobs_do_not_hold_up_another_s()
    {
        for (int i = 0; i < 20; i++) Add("many", seconds: 1, at: i);
        for (int i = 0; i < 3; i++) Add("few", seconds: 1, at: 100 + i);
        string[] order = [.. Enumerable.Range(0, 6).Select(_ => _line.Take()!.Tenant)];
        Assert.Equal(["many", "few", "many", "few", "many", "few"], order);
    }

    [Fact]
    public void Tenants_share_the_time_not_the_number_of_jobs()
    {
        for (int i = 0; i < 10; i++) Add("large", seconds: 10, at: i);
        for (int i = 0; i < 50; i++) Add("small", seconds: 1, at: i);
        var taken = Enumerable.Range(0, 33).Select(_ => _line.Take()!).ToList();
        double Share(string tenant) => taken.Where(j => j.Tenant == tenant).Sum(j => j.ExpectedSeconds);
        Assert.InRange(Share("large") - Share("small"), -10, 10);
    }

    [Fact]
    public void What_a_tenant_did_not_ask_for_in_the_past_it_cannot_claim_now()
    {
        for (int i = 0; i < 40; i++) Add("busy", seconds: 1, at: 0);
        for (int i = 0; i < 20; i++) _line.Take();
        for (int i = 0; i < 20; i++) Add("late", seconds: 1, at: 0);
        var next = Enumerable.Range(0, 10).Select(_ => _line.Take()!.Tenant).ToList();
        Assert.InRange(next.Count(t => t == "busy"), 4, 6);
    }

    [Fact]
    public void Small_boards_pass_a_huge_one_but_not_for_ever()
    {
        var huge = Add("one", seconds: 60, at: 0);
        var soon = Add("one", seconds: 1, at: 1);
        var late = Add("one", seconds: 1, at: 60);
        Assert.Same(soon, _line.Take());
        Assert.Same(huge, _line.Take());
        Assert.Same(late, _line.Take());
        Assert.Null(_line.Take());
    }

    [Fact]
    public void A_worker_for_small_boards_takes_no_other_and_a_job_removed_is_gone()
    {
        var huge = Add("one", seconds: 60, at: 0);
        Assert.Null(_line.Take(longestSeconds: 2));
        var small = Add("one", seconds: 1, at: 100);
        Assert.Same(small, _line.Take(longestSeconds: 2));
        Assert.True(_line.Remove(huge));
        Assert.False(_line.Remove(huge));
        Assert.Equal((0, 0), (_line.Count, _line.CountOf("one")));
    }

    [Fact]
    public async Task Events_are_given_once_in_order_to_readers_who_come_at_any_time()
    {
        var job = Add("one", seconds: 1, at: 0);
        job.Start();
        for (int i = 0; i <= 1000; i++) job.Report(new("solve", i * 0.1, 1.0 / (i + 1)));
        var early = job.Events.After(0, TestContext.Current.CancellationToken).ToBlockingList(until: 50);
        job.Finish(null);
        var whole = await job.Events.After(0, TestContext.Current.CancellationToken).ToListAsync(TestContext.Current.CancellationToken);
        Assert.Equal(Enumerable.Range(1, whole.Count), whole.Select(e => e.Number));
        Assert.Equal(early, whole.Take(50));
        Assert.InRange(whole.Count, 100, 103); // a percent each, not an iteration each
        Assert.Equal(whole.Skip(40), await job.Events.After(40, TestContext.Current.CancellationToken).ToListAsync(TestContext.Current.CancellationToken));
    }

    public void Dispose()
    {
        _service.Dispose();
        _folder.Dispose();
    }

    private SolveJob Add(string tenant, double seconds, double at)
    {
        var layout = LayoutIntake.Read(System.Text.Encoding.UTF8.GetBytes(Boards.Plate("line")), HeatSpread.Boards.LayoutLimits.Default).Layout!;
        double pitch = 40e-3 / Math.Sqrt(seconds * 1e6 * 4 / 3 / (layout.CellsAt(1e-4) / (400 * 300))); // so many cells as take so long by expectation
        var request = new SolutionRequest($"{tenant}{seconds}{at}", layout, null!, new(pitch, null), null, [], []);
        var job = new SolveJob(request, _service.Services.GetRequiredService<Workspaces>().Of(tenant));
        _line.Add(job, at);
        return job;
    }
}

file static class Reading
{
    /// <summary>The first so many items of a stream that goes on.</summary>
    public static List<JobEvent> ToBlockingList(this IAsyncEnumerable<JobEvent> events, int until) => [.. events.Take(until).ToBlockingEnumerable()];
}
