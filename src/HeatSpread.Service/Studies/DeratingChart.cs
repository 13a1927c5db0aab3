using HeatSpread.Rendering.Charts;

namespace HeatSpread.Service.Studies;

/// <summary>A derating curve: what each limit allows, and the shaded area that all allow together.</summary>
internal static class DeratingChart
{
    /// <summary>Lines that are told apart; the limits that allow least are drawn.</summary>
    private const int MostLimits = 5;

    public static LineChart Of(StudyAnswer study, int index)
    {
        var curve = study.Derating!.Curves[index];
        string title = study.Name + (study.Revision.Length > 0 ? " " + study.Revision : "") + ": " + curve.Label + " against ambient";
        List<(double X, double Y)> area = [.. curve.Points.Select(point => (point.AmbientCelsius, point.Allowed ?? double.NaN))];
        if (curve.NothingAboveCelsius is { } end) area.Insert(area.FindIndex(point => point.X > end) is >= 0 and int place ? place : area.Count, (end, 0));
        var limits = curve.Points.Count == 0 ? [] : curve.Points[0].Limits.Select((limit, i) => (limit.Of, limit.LimitCelsius, Points: Line(curve, point => (point.Limits[i].Allowed, point.Limits[i].Outcome))))
            .Where(limit => limit.Points.Any(point => double.IsFinite(point.Y))).OrderBy(limit => limit.Points.Where(point => double.IsFinite(point.Y)).Average(point => point.Y)).Take(MostLimits);
        return new(
            title,
            new("ambient, °C"),
            new($"{curve.Label} allowed, {(curve.Unit == "times" ? "times the base" : curve.Unit)}", Least: 0),
            [new("", area, ChartMark.Guide) { IsShaded = true }, .. limits.Select(limit => new ChartSeries($"{limit.Of} {limit.LimitCelsius:0.#} °C", limit.Points))]);
    }

    /// <summary>What is not limited has no place on the plot. Where the next ambient allows nothing, an exact line is led on to where it reaches zero.</summary>
    private static List<(double X, double Y)> Line(DeratingCurveAnswer curve, Func<DeratingPointAnswer, (double? Allowed, string Outcome)> value)
    {
        List<(double X, double Y)> line = [.. curve.Points.Select(point => (point.AmbientCelsius, value(point).Allowed ?? double.NaN))];
        int end = curve.Points.ToList().FindIndex(point => value(point).Outcome == "nothing");
        if (curve.How != "exact" || end < 2) return line;
        var (before, last) = (line[end - 2], line[end - 1]);
        double zero = last.X + last.Y * (last.X - before.X) / (before.Y - last.Y);
        if (zero >= last.X && zero <= line[end].X) line.Insert(end, (zero, 0));
        return line;
    }
}
