using System.Text.Json;
using HeatSpread.Insight.Comparison;
using HeatSpread.Rendering.Reports;
using HeatSpread.Thermal.Revisions;

namespace HeatSpread.Service.Comparisons;

/// <summary>From a comparison that was sent back to what a report says of one of its candidates.</summary>
internal static class ComparisonReading
{
    /// <param name="store">Of the comparisons.</param>
    /// <param name="id">Of the comparison.</param>
    /// <param name="solution">Id of the candidate.</param>
    /// <returns>Null where there is no such comparison or candidate, or no layer in both boards.</returns>
    public static ReportComparison? Read(ComparisonStore store, string id, string solution)
    {
        if (store.Answer(id) is not { } json || JsonSerializer.Deserialize(json, ServiceJson.Written.ComparisonAnswer) is not { } answer) return null;
        if (answer.Candidates.FirstOrDefault(candidate => candidate.Solution == solution) is not { } told || store.Baseline(id) is not { } baseline) return null;
        StoredDifference[] maps = [.. told.Layers.Select(layer => store.Open(id, solution, layer.Name)).OfType<StoredDifference>()];
        return new()
        {
            Id = id,
            BaselineId = answer.Baseline,
            Baseline = baseline,
            Comparison = new(told.PeakDeltaKelvin, [.. told.Parts.Select(part => new PartDelta(part.Id, part.BaselineCelsius, part.Celsius))], [.. told.Ledger.Select(Ledger)]),
            GridErrorKelvin = told.GridErrorKelvin,
            Grid = told.Grid.InMeters(),
            SolvedAgain = told.SolvedAgain.Count > 0,
            ScaleKelvin = answer.ScaleKelvin,
            Maps = [.. maps.Select(map => (map.Layer, map.Kelvin))],
        };
    }

    private static PartLedger Ledger(LedgerAnswer ledger) => new(ledger.Part, ledger.DeltaKelvin, [.. ledger.Entries.Select(Entry)]);

    /// <summary>Without shapes and places, which a report does not draw.</summary>
    private static LedgerEntry Entry(EntryAnswer entry) => new()
    {
        Kind = Enum.TryParse<ChangeKind>(entry.Kind, ignoreCase: true, out var kind) ? kind : null,
        Kelvin = entry.Kelvin,
        Text = entry.Text,
        Layer = entry.Layer,
        Net = entry.Net,
        Part = entry.Part,
        Surface = entry.Surface,
        Count = entry.Count,
    };
}
