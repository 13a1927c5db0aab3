using System.Globalization;
using System.Text;
using System.Text.Json;

namespace HeatSpread.Service.Studies;

/// <summary>Tables as RFC 4180 has them, numbers with a point.</summary>
internal static class StudyTables
{
    public static byte[] Points(StudyAnswer study)
    {
        var text = new StringBuilder();
        Line(text, ["index", .. study.Axes.Select(axis => axis.Unit.Length > 0 ? $"{axis.Label}, {axis.Unit}" : axis.Label), "peak, °C", .. study.Parts.Select(part => $"{part.Id}, °C"), .. study.Probes.Select(probe => $"{probe}, °C"), "pass", "how"]);
        foreach (var point in study.Points)
        {
            bool has = point.Peak is not null;
            IEnumerable<string> temperatures = has ? [Number(point.Peak!.Celsius), .. point.PartCelsius.Select(Number), .. point.ProbeCelsius.Select(Number)] : Enumerable.Repeat("", 1 + study.Parts.Count + study.Probes.Count);
            Line(text, [Number(point.Index), .. point.At.Select(Text), .. temperatures, has ? (point.Pass ? "true" : "false") : "", has ? point.How : "problem"]);
        }
        return Encoding.UTF8.GetBytes(text.ToString());
    }

    public static byte[] Curve(DeratingCurveAnswer curve)
    {
        var text = new StringBuilder();
        var limits = curve.Points.Count > 0 ? curve.Points[0].Limits : [];
        Line(text, ["ambient, °C", $"allowed, {curve.Unit}", "limited by", .. limits.Select(limit => string.Create(CultureInfo.InvariantCulture, $"allowed by {limit.Of} ({limit.LimitCelsius} °C), {curve.Unit}"))]);
        foreach (var point in curve.Points) Line(text, [Number(point.AmbientCelsius), Allowed(point.Allowed, point.Outcome), point.LimitedBy ?? "", .. point.Limits.Select(limit => Allowed(limit.Allowed, limit.Outcome))]);
        return Encoding.UTF8.GetBytes(text.ToString());
    }

    private static string Allowed(double? allowed, string outcome) => allowed is { } value ? Number(value) : outcome;

    private static string Number(double value) => value.ToString("R", CultureInfo.InvariantCulture);

    private static string Text(JsonElement value) => value.ValueKind == JsonValueKind.String ? value.GetString()! : value.GetRawText();

    private static void Line(StringBuilder text, IEnumerable<string> cells) => text.AppendJoin(',', cells.Select(Quoted)).Append("\r\n");

    private static string Quoted(string cell)
    {
        // a spreadsheet would take what begins so as a formula
        if (cell.Length > 0 && cell[0] is '=' or '@' or '+' or '\t' || (cell.StartsWith('-') && !double.TryParse(cell, NumberStyles.Float, CultureInfo.InvariantCulture, out _))) cell = "'" + cell;
        return cell.AsSpan().IndexOfAny(",\"\r\n") < 0 ? cell : $"\"{cell.Replace("\"", "\"\"", StringComparison.Ordinal)}\"";
    }
}
