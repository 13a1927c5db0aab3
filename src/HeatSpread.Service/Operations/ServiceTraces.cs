using System.Diagnostics;
using HeatSpread.Insight;
using HeatSpread.Service.Jobs;

namespace HeatSpread.Service.Operations;

/// <summary>What the service tells of a solve to tracing: a span for the whole, part of the trace of the request that began it, and below it one for each step.</summary>
internal sealed class ServiceTraces : IDisposable
{
    public const string SourceName = "HeatSpread";

    private readonly ActivitySource _source = new(SourceName);

    public SolveTrace Solve(SolveJob job) => new(_source, job);

    public void Dispose() => _source.Dispose();
}

/// <summary>The spans of one solve; it hears of the steps as the job's progress does.</summary>
internal sealed class SolveTrace : IProgress<AnalysisProgress>, IDisposable
{
    private readonly ActivitySource _source;
    private readonly SolveJob _job;
    private readonly Activity? _whole;
    private Activity? _step;
    private string? _stepName;

    public SolveTrace(ActivitySource source, SolveJob job)
    {
        (_source, _job) = (source, job);
        _whole = source.StartActivity("solve board", ActivityKind.Internal, job.Asker);
        _whole?.SetTag("heatspread.solution", job.Work.Id).SetTag("heatspread.tenant", job.Tenant);
    }

    public void Report(AnalysisProgress value)
    {
        Begin(value.Step);
        _job.Report(value);
    }

    /// <summary>A step begins, unless it is the one that runs.</summary>
    public void Begin(string step)
    {
        if (step == _stepName) return;
        _step?.Dispose();
        _stepName = step;
        _step = _source.StartActivity(step, ActivityKind.Internal, _whole?.Context ?? _job.Asker);
    }

    public void Dispose()
    {
        _step?.Dispose();
        _whole?.Dispose();
    }
}
