using System.Text.Json;
using HeatSpread.Boards;
using HeatSpread.Insight;
using HeatSpread.Service.Layouts;
using HeatSpread.Service.Problems;
using HeatSpread.Service.Storage;
using HeatSpread.Service.Tenants;
using HeatSpread.Thermal;

namespace HeatSpread.Service.Solutions;

/// <summary>
/// The solutions that are kept. Each entry holds its own copy of the layout, so that it stays whole when the layout is removed.
/// </summary>
internal sealed class SolutionStore
{
    private const string AnswerFile = "answer.json";
    private const string LayoutFile = "layout.json";
    private const string WarningsFile = "import-warnings.json";

    private readonly IEntryStore<SolutionLabels> _entries;
    private readonly TenantCache<SolvedBoard> _recent;
    private readonly TenantCache<CopperRaster> _rasters;
    private readonly TimeProvider _clock;

    public SolutionStore(TenantStorage storage, RecentlyUsed<SolvedBoard> recent, RecentlyUsed<CopperRaster> rasters, TimeProvider clock)
    {
        _clock = clock;
        _entries = storage.Open("solutions", ServiceJson.Written.SolutionLabels);
        _recent = new(storage.Tenant, recent);
        _rasters = new(storage.Tenant, rasters);
    }

    /// <summary>On the disk.</summary>
    public long Bytes(string id) => _entries.Bytes(id);

    public bool Contains(string id) => _entries.Contains(id);

    /// <summary>Newest first.</summary>
    public IEnumerable<SolutionListItem> List() => _entries.Entries
        .OrderByDescending(e => e.Value.Created).ThenBy(e => e.Key, StringComparer.Ordinal)
        .Select(e => new SolutionListItem(
            e.Key, e.Value.Layout, e.Value.Name, e.Value.Revision, SolutionState.Solved, e.Value.Pass, e.Value.PeakCelsius, [.. e.Value.Layers.Select(name => SolutionRoutes.Image(e.Key, name))], e.Value.Created));

    /// <summary>Keeps a solution.</summary>
    /// <param name="request">What was asked.</param>
    /// <param name="solution">What came of it.</param>
    /// <param name="importWarnings">What was guessed when the layout was read from fabrication files, as JSON; null: nothing.</param>
    public void Keep(SolutionRequest request, BoardSolution solution, byte[]? importWarnings)
    {
        var board = request.Layout.Board;
        var labels = new SolutionLabels(
            request.Layout.Id, board.Name, board.Revision, solution.Verdict.Pass, solution.Peak.Celsius, [.. board.Layers.Select(l => l.Name)], _clock.GetUtcNow())
        { HasImportWarnings = importWarnings is not null };
        byte[] answer = JsonSerializer.SerializeToUtf8Bytes(AnswerOf.Solution(request, solution), ServiceJson.Written.SolutionAnswer);
        EntryFile[] ofImport = importWarnings is null ? [] : [new(WarningsFile, importWarnings)];
        _entries.Add(request.Id, labels, [new(AnswerFile, answer), new(LayoutFile, request.Layout.Canonical), .. ofImport, .. StoredField.Files(solution.Field, solution.HotSpots)]);
        _recent.GetOrMake(request.Id, () => Solved(request.Layout.Id, board, solution.Field, solution.HotSpots));
    }

    /// <summary>The answer as it is sent; null where there is none.</summary>
    public byte[]? Answer(string id) => _entries.Read(id, AnswerFile);

    /// <summary>What was guessed when the layout was read from fabrication files; empty for one that was posted as JSON.</summary>
    public IReadOnlyList<string> ImportWarnings(string id) =>
        _entries.Labels(id) is { HasImportWarnings: true } && _entries.Read(id, WarningsFile) is { } json ? JsonSerializer.Deserialize(json, ServiceJson.Written.IReadOnlyListString)! : [];

    /// <summary>What pictures are made of; null where there is no such solution.</summary>
    public SolvedBoard? Open(string id)
    {
        if (!_entries.Contains(id)) return null;
        return _recent.GetOrMake(id, () =>
        {
            if (_entries.Labels(id) is not { } labels || _entries.Read(id, LayoutFile) is not { } json) return null;
            var board = LayoutStore.Rebuild(labels.Layout, json).Board;
            return StoredField.Open(board, grid => Raster(labels.Layout, board, grid), file => _entries.Read(id, file));
        });
    }

    /// <summary>As <see cref="Open"/>, of a solution that was there a moment ago.</summary>
    /// <exception cref="BusyException">It has been removed since.</exception>
    public SolvedBoard Opened(string id) => Open(id) ?? throw new BusyException("The solution was removed in the meantime; ask again.");

    /// <summary>Names of the copper layers, top to bottom, without opening the fields; null where there is no such solution.</summary>
    public IReadOnlyList<string>? Layers(string id) => _entries.Labels(id)?.Layers;

    /// <summary>What was solved, and on which grid, to solve it again; null where there is no such solution.</summary>
    public StoredCase? Case(string id)
    {
        if (Answer(id) is not { } json || Open(id) is not { } solved || _entries.Labels(id) is not { } labels || _entries.Read(id, LayoutFile) is not { } layout) return null;
        using var answer = JsonDocument.Parse(json);
        var board = LayoutStore.Rebuild(labels.Layout, layout) with { Board = solved.Board };
        var conditions = ConditionsReader.Read(answer.RootElement.GetProperty("conditions"), "/conditions", solved.Board, board.Unit);
        if (conditions.Value is null) throw new InvalidDataException($"The stored conditions of {id} do not pass the checks of this version: {conditions.Faults[0].Detail}");
        double Error(JsonElement of) => of.GetProperty("gridErrorKelvin").GetDouble();
        var partErrors = answer.RootElement.GetProperty("parts").EnumerateArray().ToDictionary(part => part.GetProperty("id").GetString()!, Error);
        return new StoredCase(id, board, conditions.Value, solved.Field.Grid, Error(answer.RootElement.GetProperty("accuracy")), partErrors);
    }

    /// <summary>When it was solved; null where there is no such solution.</summary>
    public DateTimeOffset? Created(string id) => _entries.Labels(id)?.Created;

    public bool Remove(string id)
    {
        _recent.Forget(id);
        return _entries.Remove(id);
    }

    /// <summary>Holds what it is given, and nothing of what else was solved.</summary>
    private SolvedBoard Solved(string layout, Board board, TemperatureField field, IReadOnlyList<HotSpot> hotSpots) => new(board, field, hotSpots, () => Raster(layout, board, field.Grid));

    private CopperRaster Raster(string layout, Board board, BoardGrid grid) => _rasters.GetOrMake($"{layout} {grid}", () => CopperRaster.Build(board, grid, CancellationToken.None))!;
}

/// <summary>What a stored solution is the answer to.</summary>
/// <param name="Id">Of the solution.</param>
/// <param name="Layout">What was solved.</param>
/// <param name="Conditions">What surrounds it.</param>
/// <param name="Grid">Of its fields.</param>
/// <param name="GridErrorKelvin">As it was estimated.</param>
/// <param name="PartErrors">The same of each part's temperature, by id.</param>
internal sealed record StoredCase(string Id, LayoutInUse Layout, Conditions Conditions, BoardGrid Grid, double GridErrorKelvin, IReadOnlyDictionary<string, double> PartErrors);
