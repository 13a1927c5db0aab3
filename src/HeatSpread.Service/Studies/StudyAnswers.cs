using System.Text.Json;
using HeatSpread.Insight.Studies;
using HeatSpread.Service.Layouts;
using HeatSpread.Service.Problems;
using HeatSpread.Service.Solutions;

namespace HeatSpread.Service.Studies;

/// <summary>From a study's results to what is sent.</summary>
internal static class StudyAnswers
{
    /// <summary>The answer before anything is known.</summary>
    public static StudyAnswer Frame(StudyRequest request)
    {
        var (board, aim) = (request.Layout.Board, request.Aim);
        JsonElement asked = JsonElement.Parse(request.AskedJson);
        return new(
            request.Id,
            request.Layout.Id,
            board.Name,
            board.Revision,
            request.Layout.Unit,
            aim.Kind,
            SolutionState.Queued,
            new(0, request.Results, null, 0),
            [.. aim.Axes.Select((axis, index) => Axis(axis, aim.Copper is null ? asked.GetProperty("axes")[index] : asked.GetProperty("plan").GetProperty("vary")))],
            [.. board.Parts.Select(part => new StudyPartAnswer(part.Id, part.LimitCelsius))],
            [.. board.Probes.Select(probe => probe.Name)],
            request.Conditions.BoardLimitCelsius,
            [],
            null,
            aim.Derating is { } derating ? new([.. derating.Quantities.Select((quantity, curve) => Curve(request, quantity, curve))]) : null,
            null,
            null,
            null,
            null,
            null,
            null,
            JsonElement.Parse(request.ConditionsJson),
            asked);
    }

    /// <summary>With what is known so far.</summary>
    public static StudyAnswer With(this StudyAnswer frame, StudyPart known) => frame with
    {
        Progress = frame.Progress with { Done = known.Count, Percent = Math.Round(100.0 * known.Count / Math.Max(1, frame.Progress.Of), 1) },
        Points = known.Points,
        Accuracy = known.Accuracy,
        Derating = frame.Derating is null ? null : new([.. frame.Derating.Curves.Select((curve, index) => curve with { Points = [.. known.Derating.Where(point => point.Curve == index).Select(point => point.Point)] })]),
    };

    public static StudyPointAnswer Point(PointResult result, StudyPlan plan, LayoutInUse layout, ExceptionProblems problems)
    {
        JsonElement[] at = [.. plan.Points[result.Index].Select((value, axis) => Value(plan.Axes[axis], value))];
        if (result.Problem is { } fault) return new(result.Index, at, null, [], [], false, "solved", problems.Of(fault).ToBody());
        return new(result.Index, at, new(result.PeakCelsius, result.PeakRow, layout.InUnit(result.PeakAt)), result.PartCelsius, result.ProbeCelsius, result.Pass, result.IsSuperposed ? "superposed" : "solved", null);
    }

    /// <summary>Back, as far as statistics need it.</summary>
    public static PointResult Read(StudyPointAnswer point) => new() { Index = point.Index, PartCelsius = point.PartCelsius, Problem = point.Problem is { } problem ? new InvalidDataException(problem.Detail) : null };

    public static DeratedAmbient Derated(DeratingPoint point, double ambientCelsius) => new(
        point.Curve,
        point.Ambient,
        point.RunawayAbove,
        new(ambientCelsius, point.Allowed, Word(point.Outcome), point.LimitedBy, [.. point.Limits.Select(each => new LimitAnswer(each.Limit.Name, each.Limit.Celsius, each.Allowed, Word(each.Outcome)))]));

    /// <summary>Back.</summary>
    public static DeratingPoint Read(DeratedAmbient kept, IReadOnlyList<StudyLimit> limits) => new(
        kept.Curve,
        kept.Ambient,
        [.. limits.Zip(kept.Point.Limits, (limit, told) => new LimitAllowance(limit, Enum.Parse<Allowance>(told.Outcome, ignoreCase: true), told.Allowed))],
        kept.RunawayAbove);

    public static ToleranceAnswer Tolerance(StudyRequest request, IReadOnlyList<PointResult> results, IReadOnlyList<PartTolerance> parts)
    {
        var (board, plan) = (request.Layout.Board, request.Aim.Plan!);
        double?[] limits = [.. board.Parts.Select(part => part.LimitCelsius)];
        var advice = Insight.Studies.Tolerance.Advice(plan, [.. board.Parts.Select(part => part.Id)], limits, parts);
        return new(results.Count(result => result.Problem is null), [.. parts.Select((part, index) => Part(plan, board.Parts[index].Id, limits[index], part))], advice);
    }

    public static PlanAnswer Plan(StudyRequest request, PlanResult result)
    {
        var copper = request.Aim.Copper!;
        return new(
            result.IsMet ? "met" : "cannot",
            request.Layout.Board.Parts[copper.Part].Id,
            copper.LimitCelsius,
            result.Value,
            result.Celsius,
            copper.Least,
            copper.Most,
            result.BestCelsius,
            result.AsymptoteCelsius,
            [.. result.Trials.Select(trial => new TrialAnswer(trial.Value, trial.Celsius))],
            result.Text);
    }

    private static PartToleranceAnswer Part(StudyPlan plan, string id, double? limit, PartTolerance part) => new(
        id,
        limit,
        part.Mean,
        part.StandardDeviation,
        part.P5,
        part.P50,
        part.P95,
        part.FirstOrderDeviation,
        part.Exceedance is { } above ? new(above.Probability, above.StandardError, [above.Low, above.High]) : null,
        part.LinearShare,
        [.. part.Inputs.Select((input, axis) => new InputShareAnswer(axis, plan.Axes[axis].Label, input.KelvinPerUnit, input.Share, input.SampledShare))]);

    private static StudyAxisAnswer Axis(StudyAxis axis, JsonElement posted)
    {
        string? Text(string key) => posted.TryGetProperty(key, out var value) ? value.GetString() : null;
        return new(axis.Label, axis.Unit, Text("quantity"), Text("pointer"), axis.IsRelative, [.. axis.Values.Select(value => Value(axis, value))], posted.TryGetProperty("distribution", out var spread) ? spread.Clone() : null);
    }

    private static DeratingCurveAnswer Curve(StudyRequest request, DeratingQuantity quantity, int curve)
    {
        var about = DeratingCurve.Of(request.Cases, quantity);
        string address = $"/v1/studies/{request.Id}/derating/{curve}";
        return new(
            Word(quantity.Kind), quantity.Part >= 0 ? request.Layout.Board.Parts[quantity.Part].Id : null, about.Label, about.Unit, about.Base, about.IsExact ? "exact" : "searched", [], null,
            address + ".png", address + ".svg", address + ".csv");
    }

    private static JsonElement Value(StudyAxis axis, double value) =>
        axis.Words is { } words ? JsonSerializer.SerializeToElement(words[(int)value], ServiceJson.Written.String) : JsonSerializer.SerializeToElement(value, ServiceJson.Written.Double);

    private static string Word<T>(T value)
        where T : struct, Enum => char.ToLowerInvariant(value.ToString()[0]) + value.ToString()[1..];
}
