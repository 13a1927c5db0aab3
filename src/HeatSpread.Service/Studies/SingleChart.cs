using HeatSpread.Rendering.Charts;

namespace HeatSpread.Service.Studies;

/// <summary>The plots of transients and correlations.</summary>
internal static class SingleChart
{
    /// <summary>Lines that are told apart; the hottest parts are drawn.</summary>
    private const int MostLines = 6;

    /// <param name="single"><c>impedance</c>, <c>schedule</c> or <c>correlation</c>.</param>
    public static string Summary(string single) => single switch
    {
        "impedance" => "Plot of the thermal impedances of a transient",
        "schedule" => "Plot of the parts' temperatures of a transient over time",
        _ => "Plot of measured against computed temperatures",
    };

    /// <summary>Null where the study has no such plot, or not yet.</summary>
    public static LineChart? Of(StudyAnswer study, string single) => single switch
    {
        "impedance" when study.Transient is { Impedances.Count: > 0 } transient => Impedance(study, transient),
        "schedule" when study.Transient?.Schedule is { } schedule => Schedule(study, schedule),
        "correlation" when study.Correlation is { } correlation => Correlation(study, correlation),
        _ => null,
    };

    private static LineChart Impedance(StudyAnswer study, TransientStudyAnswer transient) => new(
        Title(study, "thermal impedance"),
        new("time after a watt is switched on, s", IsLogarithmic: true),
        new("K/W", IsLogarithmic: true),
        [.. transient.Impedances.Take(MostLines).Select(curve => new ChartSeries(curve.Part, [.. curve.Seconds.Zip(curve.KelvinPerWatt)]))]);

    private static LineChart Schedule(StudyAnswer study, ScheduleAnswer schedule)
    {
        var hottest = schedule.PartCelsius.Index().OrderByDescending(part => part.Item.Max()).Take(MostLines);
        return new(Title(study, "temperatures over time"), new("time, s"), new("°C"), [.. hottest.Select(part => new ChartSeries(study.Parts[part.Index].Id, [.. schedule.Seconds.Zip(part.Item)]))]);
    }

    private static LineChart Correlation(StudyAnswer study, CorrelationAnswer correlation)
    {
        double least = correlation.Points.Min(point => Math.Min(point.MeasuredCelsius, point.ComputedCelsius)), most = correlation.Points.Max(point => Math.Max(point.MeasuredCelsius, point.ComputedCelsius));
        var points = new ChartSeries("", [.. correlation.Points.Select(point => (point.ComputedCelsius, point.MeasuredCelsius))], ChartMark.Bars) { Bars = [.. correlation.Points.Select(point => point.StandardUncertaintyKelvin)] };
        return new(Title(study, "measured against computed"), new("computed, °C"), new("measured, °C; bars: standard uncertainty"), [points, new("equal", [(least, least), (most, most)], ChartMark.Guide)]);
    }

    private static string Title(StudyAnswer study, string what) => study.Name + (study.Revision.Length > 0 ? " " + study.Revision : "") + ": " + what;
}
