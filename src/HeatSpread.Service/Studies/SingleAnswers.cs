using HeatSpread.Insight.Correlation;
using HeatSpread.Insight.Transients;

namespace HeatSpread.Service.Studies;

/// <summary>From the results of transients and correlations to what is sent.</summary>
internal static class SingleAnswers
{
    public static TransientStudyAnswer Transient(StudyRequest request, TransientAnswer result)
    {
        string address = $"/v1/studies/{request.Id}/";
        string Id(int part) => request.Layout.Board.Parts[part].Id;
        return new(
            result.Pitch * 1e3,
            result.Unknowns,
            result.SteadyCelsius,
            result.Schedule is { } schedule ? new(schedule.Seconds, schedule.PeakCelsius, schedule.PartCelsius, address + "schedule.png") : null,
            [.. result.Impedances.Select(curve => new ImpedanceAnswer(
                Id(curve.Part), curve.Impedance.Seconds, curve.Impedance.KelvinPerWatt, curve.Impedance.SettledKelvinPerWatt, curve.IsLinear, address + "impedance.png"))],
            result.Pulse is { } pulse ? new(Id(pulse.Part), pulse.PeakCelsius, pulse.TroughCelsius, pulse.MeanCelsius) : null,
            result.Warnings,
            result.Work.Steps);
    }

    public static CorrelationAnswer Correlation(StudyRequest request, CorrelationResult result, double pitch) => new(
        pitch * 1e3,
        [.. result.Inputs.Select(input => new FittedInputAnswer(
            input.Label, input.Unit, input.Start, input.Value, input.IsTold ? input.StandardError : null, [input.Least95, input.Most95], input.IsTold, input.IsAtBound))],
        [.. result.Points.Select(point => new FittedPointAnswer(point.Name, point.MeasuredCelsius, point.ComputedCelsius, point.ResidualKelvin, point.StandardUncertainty))],
        result.RootMeanSquareKelvin,
        result.ChiSquare,
        result.DegreesOfFreedom,
        result.IsWithinUncertainty,
        result.Correlations,
        result.NotToldApart,
        result.Converged,
        $"/v1/studies/{request.Id}/correlation.png");
}
