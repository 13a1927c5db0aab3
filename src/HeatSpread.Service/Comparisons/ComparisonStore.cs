using System.Text.Json;
using HeatSpread.Boards;
using HeatSpread.Insight.Comparison;
using HeatSpread.Service.Layouts;
using HeatSpread.Service.Reports;
using HeatSpread.Service.Solutions;
using HeatSpread.Service.Storage;
using HeatSpread.Thermal;

namespace HeatSpread.Service.Comparisons;

/// <summary>The comparisons that are kept, each with copies of the layouts and of its maps: it stays whole when the solutions are removed.</summary>
internal sealed class ComparisonStore(TenantStorage storage, TimeProvider clock)
{
    private const string AnswerFile = "answer.json";
    private const string BaselineFile = "baseline.json";

    private readonly IEntryStore<ComparisonLabels> _entries = storage.Open("comparisons", ServiceJson.Written.ComparisonLabels);

    /// <summary>Newest first.</summary>
    public ComparisonList List() => new([.. _entries.Entries
        .OrderByDescending(e => e.Value.Created).ThenBy(e => e.Key, StringComparer.Ordinal)
        .Select(e => new ComparisonListItem(e.Key, e.Value.Baseline, e.Value.Candidates, e.Value.Created))]);

    /// <summary>The answer as it is sent; null where there is none.</summary>
    public byte[]? Answer(string id) => _entries.Read(id, AnswerFile);

    /// <summary>The board that the others are compared with; null where there is no such comparison.</summary>
    public Board? Baseline(string id) => _entries.Labels(id) is { } labels && _entries.Read(id, BaselineFile) is { } layout ? LayoutStore.Rebuild(labels.Baseline, layout).Board : null;

    /// <summary>Whether a solution is a candidate of a comparison.</summary>
    public bool Compares(string id, string solution) => _entries.Labels(id)?.Candidates.Contains(solution) == true;

    public bool Remove(string id) => _entries.Remove(id);

    /// <summary>Keeps a comparison.</summary>
    /// <returns>The answer as it is sent.</returns>
    public byte[] Keep(ComparisonRequest request, IReadOnlyList<ComparedCandidate> candidates)
    {
        double scale = candidates.SelectMany(c => c.Maps).SelectMany(map => map.Kelvin).Where(float.IsFinite).Select(Math.Abs).DefaultIfEmpty(0).Max();
        var layout = request.Baseline.Layout;
        var answer = new ComparisonAnswer(request.Id, request.Baseline.Id, layout.Unit, scale, [.. candidates.Select(c => Candidate(request, c))]);
        byte[] json = JsonSerializer.SerializeToUtf8Bytes(answer, ServiceJson.Written.ComparisonAnswer);
        List<EntryFile> files = [new(AnswerFile, json), new(BaselineFile, layout.Canonical)];
        for (int candidate = 0; candidate < candidates.Count; candidate++)
        {
            files.Add(new(LayoutFile(candidate), candidates[candidate].Solution.Layout.Canonical));
            var grid = candidates[candidate].Grid;
            files.AddRange(candidates[candidate].Maps.Select(map => new EntryFile(MapFile(candidate, map.Layer), Npy.Write(map.Kelvin, grid.Rows, grid.Columns))));
        }
        _entries.Add(request.Id, new(request.Baseline.Id, [.. request.Candidates.Select(c => c.Id)], clock.GetUtcNow()), files);
        return json;
    }

    /// <summary>What a difference map is made of; null where there is no such comparison, candidate or layer in both boards.</summary>
    /// <param name="id">Of the comparison.</param>
    /// <param name="solution">Of the candidate.</param>
    /// <param name="layer">As the address names it.</param>
    public StoredDifference? Open(string id, string solution, string layer)
    {
        if (_entries.Labels(id) is not { } labels || labels.Candidates.ToList().IndexOf(solution) is not (>= 0 and int candidate)) return null;
        if (_entries.Read(id, BaselineFile) is not { } baseline || _entries.Read(id, LayoutFile(candidate)) is not { } compared || Answer(id) is not { } json) return null;
        using var answer = JsonDocument.Parse(json);
        var told = answer.RootElement.GetProperty("candidates")[candidate];
        var board = LayoutStore.Rebuild(solution, compared).Board;
        int index = LayerName.Find(board, layer);
        if (index < 0 || !told.GetProperty("layers").EnumerateArray().Any(l => l.GetProperty("name").GetString() == board.Layers[index].Name)) return null;
        var grid = GridAnswer.Read(told.GetProperty("grid"));
        return _entries.Read(id, MapFile(candidate, index)) is { } bytes
            ? new(LayoutStore.Rebuild(labels.Baseline, baseline).Board, board, index, grid, Npy.Read(bytes, grid.CellCount), answer.RootElement.GetProperty("scaleKelvin").GetDouble())
            : null;
    }

    private static CandidateAnswer Candidate(ComparisonRequest request, ComparedCandidate compared)
    {
        var (solution, grid, comparison, error, maps) = compared;
        var board = solution.Layout.Board;
        string[] again = [.. new[] { request.Baseline, solution }.Where(each => each.Grid != grid).Select(each => each.Id)];
        return new(
            solution.Id,
            board.Name,
            board.Revision,
            comparison.PeakDeltaKelvin,
            AnswerOf.Grid(grid),
            again,
            error,
            [.. maps.Select(map => Layer(request.Id, solution, map.Layer, map.Kelvin))],
            [.. comparison.Parts.Select(Part)],
            [.. comparison.Ledger.Select(ledger => EntryAnswers.Ledger(ledger, request.Baseline.Layout))],
            ReportRoutes.Links(solution.Id, request.Id));
    }

    private static DifferenceLayer Layer(string id, StoredCase solution, int layer, float[] kelvin)
    {
        var values = kelvin.Where(float.IsFinite);
        string name = solution.Layout.Board.Layers[layer].Name;
        return new(name, values.Max(), values.Min(), ComparisonRoutes.Image(id, solution.Id, name));
    }

    private static PartDeltaAnswer Part(PartDelta part) =>
        new(part.Id, part.BaselineCelsius is null ? "candidate" : part.Celsius is null ? "baseline" : "both", part.BaselineCelsius, part.Celsius, part.DeltaKelvin);

    private static string LayoutFile(int candidate) => $"candidate-{candidate}.json";

    private static string MapFile(int candidate, int layer) => $"candidate-{candidate}-layer-{layer}.npy";
}

/// <summary>A difference map as it is kept.</summary>
/// <param name="Baseline">Whose outline bounds it.</param>
/// <param name="Candidate">Whose outlines are drawn.</param>
/// <param name="Layer">Index into the candidate's layers.</param>
/// <param name="Grid">Of the values.</param>
/// <param name="Kelvin">Candidate less baseline, NaN where one of them has no board.</param>
/// <param name="ScaleKelvin">Common to all maps of the comparison.</param>
internal sealed record StoredDifference(Board Baseline, Board Candidate, int Layer, BoardGrid Grid, float[] Kelvin, double ScaleKelvin);
