using System.Text.Json;
using HeatSpread.Boards;
using HeatSpread.Service.Storage;
using HeatSpread.Service.Tenants;

namespace HeatSpread.Service.Layouts;

/// <summary>The layouts that are kept: canonical JSON and summary of each, under the digest of the JSON.</summary>
internal sealed class LayoutStore
{
    private const string LayoutFile = "layout.json";
    private const string SummaryFile = "summary.json";
    private const string WarningsFile = "import-warnings.json";

    /// <summary>What was taken once stays, whatever the limits are now.</summary>
    private static readonly LayoutLimits Stored = LayoutLimits.Default with
    {
        RingVertices = int.MaxValue,
        Vertices = int.MaxValue,
        StackRows = int.MaxValue,
        Materials = int.MaxValue,
        Nets = int.MaxValue,
        CopperFeatures = int.MaxValue,
        Holes = int.MaxValue,
        Parts = int.MaxValue,
        Terminals = int.MaxValue,
        NetworkNodes = int.MaxValue,
        NetworkLinks = int.MaxValue,
        Probes = int.MaxValue,
        NameLength = int.MaxValue,
        ExtentMm = double.MaxValue,
    };

    private readonly IEntryStore<LayoutLabels> _entries;
    private readonly TenantCache<LayoutInUse> _recent;
    private readonly TimeProvider _clock;

    public LayoutStore(TenantStorage storage, RecentlyUsed<LayoutInUse> recent, TimeProvider clock)
    {
        _clock = clock;
        _entries = storage.Open("layouts", ServiceJson.Written.LayoutLabels);
        _recent = new(storage.Tenant, recent);
    }

    /// <summary>Newest first.</summary>
    public IReadOnlyList<LayoutListItem> List(string? name) =>
    [
        .. _entries.Entries
            .Where(e => name is null || e.Value.Name == name)
            .OrderByDescending(e => e.Value.Created).ThenBy(e => e.Key, StringComparer.Ordinal)
            .Select(e => new LayoutListItem(e.Key, e.Value.Name, e.Value.Revision, e.Value.Unit, e.Value.Created)),
    ];

    /// <summary>Keeps a layout that was posted for its own sake.</summary>
    /// <param name="layout">Checked.</param>
    /// <param name="drilledHoles">As drill files have them; null: counted from the layout's vias.</param>
    /// <param name="importWarnings">What an import guessed; kept with a layout that is new here.</param>
    /// <param name="cancellationToken">Gives up.</param>
    /// <returns>Its summary, and whether it is new here.</returns>
    public (LayoutSummary Summary, bool IsNew) Take(LayoutInUse layout, IReadOnlyList<HoleCount>? drilledHoles, IReadOnlyList<string> importWarnings, CancellationToken cancellationToken)
    {
        if (Summary(layout.Id) is { } known) return (known, false);
        var summary = LayoutSummary.Of(layout.Board, drilledHoles, cancellationToken);
        List<EntryFile> files = [new(LayoutFile, layout.Canonical), new(SummaryFile, JsonSerializer.SerializeToUtf8Bytes(summary, ServiceJson.Written.LayoutSummary))];
        if (importWarnings.Count > 0) files.Add(new(WarningsFile, JsonSerializer.SerializeToUtf8Bytes(importWarnings, ServiceJson.Written.IReadOnlyListString)));
        bool isNew = _entries.Add(layout.Id, Labels(layout) with { HasImportWarnings = importWarnings.Count > 0 }, files);
        return (summary, isNew);
    }

    /// <summary>Keeps a layout that an answer will refer to. Its copper is not drawn for a summary that nobody asked for.</summary>
    public void Keep(LayoutInUse layout)
    {
        if (!_entries.Contains(layout.Id)) _entries.Add(layout.Id, Labels(layout) with { NotSummed = true }, [new(LayoutFile, layout.Canonical)]);
    }

    /// <summary>Canonical JSON of a layout; null where it is not kept.</summary>
    public byte[]? Json(string id) => _entries.Read(id, LayoutFile);

    /// <summary>What an import guessed, as JSON; null where the layout is not kept or nothing was guessed.</summary>
    public byte[]? ImportWarnings(string id) => _entries.Labels(id) is { HasImportWarnings: true } ? _entries.Read(id, WarningsFile) : null;

    /// <summary>A kept layout, read and built; null where it is not kept.</summary>
    public LayoutInUse? Open(string id) => !_entries.Contains(id) ? null : _recent.GetOrMake(id, () => Json(id) is { } json ? Rebuild(id, json) : null);

    public bool Remove(string id)
    {
        _recent.Forget(id);
        return _entries.Remove(id);
    }

    /// <summary>A layout of its canonical JSON, which was found sound when it was stored.</summary>
    public static LayoutInUse Rebuild(string id, byte[] canonical)
    {
        var intake = LayoutIntake.Read(canonical, Stored);
        return intake.Layout is { } layout
            ? layout with { Id = id }
            : throw new InvalidDataException($"The stored layout {id} does not pass the checks of this version: {intake.Problem!.Faults?[0].Detail ?? intake.Problem.Detail}");
    }

    private LayoutLabels Labels(LayoutInUse layout) => new(layout.Board.Name, layout.Board.Revision, layout.Unit, _clock.GetUtcNow());

    private LayoutSummary? Summary(string id) =>
        _entries.Labels(id) is { NotSummed: null } && _entries.Read(id, SummaryFile) is { } json ? JsonSerializer.Deserialize(json, ServiceJson.Written.LayoutSummary) : null;
}
