using System.Globalization;
using HeatSpread.Boards;

namespace HeatSpread.Insight;

/// <summary>Judges the temperatures by the limits of the parts and of the board.</summary>
internal static class LimitCheck
{
    /// <returns>A sentence for each limit exceeded: parts in the board's order, then the board.</returns>
    public static Verdict Judge(Board board, Conditions conditions, Place peak, IReadOnlyList<PartSummary> parts)
    {
        var reasons = new List<string>();
        foreach (var part in parts)
        {
            if (part.MarginKelvin < 0) reasons.Add(Sentence($"{part.Id} reaches {part.MaxCelsius:F1} °C, {-part.MarginKelvin:F1} K above its limit of {part.LimitCelsius:0.#} °C."));
        }
        if (peak.Celsius > conditions.BoardLimitCelsius)
        {
            reasons.Add(Sentence($"The board reaches {peak.Celsius:F1} °C on {peak.RowName} at ({peak.At.X * 1e3:F1}, {peak.At.Y * 1e3:F1}) mm, {peak.Celsius - conditions.BoardLimitCelsius:F1} K above its limit of {conditions.BoardLimitCelsius:0.#} °C."));
        }
        return new(reasons.Count == 0, reasons);
    }

    private static string Sentence(FormattableString text) => text.ToString(CultureInfo.InvariantCulture);
}
