using System.Diagnostics;
using HeatSpread.Insight;
using HeatSpread.Insight.Studies;
using HeatSpread.Insight.Transients;
using HeatSpread.Service.Jobs;
using HeatSpread.Service.Operations;
using HeatSpread.Service.Problems;
using HeatSpread.Service.Solutions;
using HeatSpread.Service.Tenants;
using HeatSpread.Thermal;
using Microsoft.Extensions.Options;

namespace HeatSpread.Service.Studies;

/// <summary>The kind of work that does a study, from where it was left.</summary>
internal sealed class StudyWork(SolveCapacity capacity, IOptions<ServiceSettings> settings, ServiceMetrics metrics, ExceptionProblems problems) : IWorkKind
{
    public const string KindName = "study";

    /// <summary>Percent of the whole that the base case takes.</summary>
    private const double PercentOfBase = 20;

    public string Name => KindName;

    public (Work? Work, Problem? Problem) Read(ReadOnlyMemory<byte> document, Workspace workspace) => new StudyRequestReader(new SolutionRequestReader(workspace.Layouts, settings), settings).Read(document);

    public bool IsDone(string id, Workspace workspace) => workspace.Studies.Contains(id);

    public void Do(Work work, Workspace workspace, SolveTrace trace, CancellationToken cancellationToken)
    {
        var (request, watch) = ((StudyRequest)work, Stopwatch.StartNew());
        var frame = StudyAnswers.Frame(request);
        workspace.Studies.Begin(frame); // another process may have taken the request
        if (request.Aim.Kind is StudyKind.Transient or StudyKind.Correlation)
        {
            var single = request.Aim.Kind == StudyKind.Transient ? Transient(request, frame, trace, cancellationToken) : Correlate(request, frame, trace, cancellationToken);
            Keep(workspace, single, trace, single.Work! with { Seconds = watch.Elapsed.TotalSeconds });
            return;
        }
        using var journal = new StudyJournal(workspace.Studies, request.Id);
        using var solver = StudySolver.Start(request.Cases, request.Grid, capacity, new BaseProgress(trace), cancellationToken);
        journal.Add(StudyPart.Empty with { Accuracy = new(solver.PitchMeters * 1e3, solver.Base.Figures.Unknowns, solver.GridErrorKelvin) });
        var run = new Run(request, solver, journal, trace, problems, cancellationToken);
        var answer = request.Aim.Kind switch
        {
            StudyKind.Derating => run.Derate(frame),
            StudyKind.Plan => run.Plan(frame),
            _ => run.Points(frame),
        };
        int superposed = answer.Points.Count(point => point.How == "superposed");
        Keep(workspace, answer, trace, new(solver.Cost.Rasters, solver.Cost.SetUps, solver.Cost.Solves, superposed, watch.Elapsed.TotalSeconds));
    }

    private void Keep(Workspace workspace, StudyAnswer answer, SolveTrace trace, StudyWorkAnswer cost)
    {
        trace.Begin("store");
        workspace.Studies.Keep(answer with { State = SolutionState.Solved, Work = cost, Progress = new(answer.Progress.Done, answer.Progress.Done, null, 100) });
        metrics.Ended("studied");
    }

    private StudyAnswer Transient(StudyRequest request, StudyAnswer frame, SolveTrace trace, CancellationToken cancellationToken)
    {
        var result = TransientAnalysis.Run(request.Layout.Board, request.Conditions, request.Grid.PitchMeters, request.Aim.Transient!, capacity, trace, cancellationToken);
        return frame with { Transient = SingleAnswers.Transient(request, result), Progress = new(1, 1, null, 100), Work = new(1, result.Work.SetUps, result.Work.Solves, 0, 0) };
    }

    private StudyAnswer Correlate(StudyRequest request, StudyAnswer frame, SolveTrace trace, CancellationToken cancellationToken)
    {
        var (result, pitch) = request.Aim.Correlation!.Run(request.Cases, request.Grid.PitchMeters, capacity, trace, cancellationToken);
        return frame with { Correlation = SingleAnswers.Correlation(request, result, pitch), Progress = new(1, 1, null, 100), Work = new(1, result.Iterations, result.Solves, 0, 0) };
    }

    /// <summary>The base case is the first part of the whole.</summary>
    private sealed class BaseProgress(SolveTrace trace) : IProgress<AnalysisProgress>
    {
        public void Report(AnalysisProgress value) => trace.Report(value with { Percent = value.Percent / 100 * PercentOfBase });
    }

    /// <summary>One study that runs.</summary>
    private sealed class Run(StudyRequest request, StudySolver solver, StudyJournal journal, SolveTrace trace, ExceptionProblems problems, CancellationToken cancellationToken)
    {
        public StudyAnswer Points(StudyAnswer frame)
        {
            var plan = request.Aim.Plan!;
            var done = journal.All.Points.Select(point => point.Index).ToHashSet();
            new StudyRun(request.Cases, solver, plan, cancellationToken).Run(done, result => Add(StudyPart.Empty with { Points = [StudyAnswers.Point(result, plan, request.Layout, problems)] }, "points"));
            journal.Keep();
            var answer = frame.With(journal.All);
            if (request.Aim.Kind != StudyKind.Sample) return answer;
            trace.Report(new("sensitivity", 95, null));
            PointResult[] results = [.. journal.All.Points.Select(StudyAnswers.Read)];
            var derivatives = InputDerivatives.Of(request.Cases, solver, plan.Axes, cancellationToken);
            var parts = Tolerance.Of(plan, results, [.. request.Layout.Board.Parts.Select(part => part.LimitCelsius)], derivatives);
            return answer with { Tolerance = StudyAnswers.Tolerance(request, results, parts) };
        }

        public StudyAnswer Derate(StudyAnswer frame)
        {
            var aim = request.Aim.Derating!;
            var study = new DeratingStudy(request.Cases, solver, aim.Quantities, aim.Ambients, cancellationToken);
            var done = journal.All.Derating.Select(point => (point.Curve, point.Ambient)).ToHashSet();
            study.Run(done, point => Add(StudyPart.Empty with { Derating = [StudyAnswers.Derated(point, aim.Ambients[point.Ambient])] }, "ambients"));
            journal.Keep();
            var limits = StudyLimit.Of(request.Cases.Base);
            var points = journal.All.Derating.Select(kept => StudyAnswers.Read(kept, limits)).ToLookup(point => point.Curve);
            var answer = frame.With(journal.All);
            return answer with { Derating = new([.. answer.Derating!.Curves.Select((curve, index) => curve with { NothingAboveCelsius = study.NothingAbove([.. points[index]]) })]) };
        }

        public StudyAnswer Plan(StudyAnswer frame)
        {
            var aim = request.Aim.Copper!;
            var plan = new CopperPlan(request.Cases, solver, request.Aim.Axes[0], aim.Part, aim.LimitCelsius, aim.Least, aim.Most, aim.Resolution);
            var result = plan.Run(journal.All.Trials.Select(trial => new PlanTrial(trial.Value, trial.Celsius)), trial => Add(StudyPart.Empty with { Trials = [new(trial.Value, trial.Celsius)] }, "trials"));
            journal.Keep();
            return frame.With(journal.All) with { Plan = StudyAnswers.Plan(request, result) };
        }

        private void Add(StudyPart part, string step)
        {
            journal.Add(part);
            trace.Report(new(step, PercentOfBase + (95 - PercentOfBase) * Math.Min(1, (double)journal.Count / request.Results), null));
        }
    }
}
