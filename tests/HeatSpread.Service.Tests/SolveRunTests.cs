using HeatSpread.Service.Jobs;
using HeatSpread.Service.Layouts;
using HeatSpread.Service.Operations;
using HeatSpread.Service.Problems;
using HeatSpread.Service.Tenants;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Logging.Abstractions;
using Microsoft.Extensions.Options;

namespace HeatSpread.Service.Tests;

/// <summary>How one job ends.</summary>
public sealed class SolveRunTests
{
    /// <summary>Work that was promised is not put away as cancelled because something inside it gave up by itself.</summary>
    [Fact]
    public void A_cancellation_that_nobody_asked_for_is_a_fault()
    {
        using var folder = new TemporaryFolder();
        using var service = new ServiceUnderTest(folder.Path);
        var of = service.Services;
        var run = new SolveRun(
            new WorkKinds([new GivesUp()]), of.GetRequiredService<IOptions<ServiceSettings>>(), of.GetRequiredService<ExceptionProblems>(), of.GetRequiredService<ServiceMetrics>(), of.GetRequiredService<ServiceTraces>(),
            TimeProvider.System, NullLogger<SolveRun>.Instance);
        using var job = new SolveJob(new Nothing(), of.GetRequiredService<Workspaces>().Of(""));
        Assert.Equal(ProblemKind.Internal, run.Run(job, TestContext.Current.CancellationToken)!.Kind);
        job.Cancel();
        Assert.Equal(ProblemKind.Cancelled, run.Run(job, TestContext.Current.CancellationToken)!.Kind);
    }

    private sealed record Nothing() : Work("nothing")
    {
        public override string Kind => "gives up";

        public override LayoutInUse Layout { get => throw new NotSupportedException(); init => throw new NotSupportedException(); }

        public override double ExpectedSeconds => 0;

        public override byte[] Document() => [];
    }

    private sealed class GivesUp : IWorkKind
    {
        public string Name => "gives up";

        public (Work? Work, Problem? Problem) Read(ReadOnlyMemory<byte> document, Workspace workspace) => throw new NotSupportedException();

        public bool IsDone(string id, Workspace workspace) => false;

        public void Do(Work work, Workspace workspace, SolveTrace trace, CancellationToken cancellationToken) => throw new OperationCanceledException();
    }
}
