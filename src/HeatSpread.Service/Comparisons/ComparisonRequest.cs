using System.Text;
using System.Text.Json;
using HeatSpread.Boards;
using HeatSpread.Service.Layouts;
using HeatSpread.Service.Problems;
using HeatSpread.Service.Solutions;
using HeatSpread.Service.Storage;

namespace HeatSpread.Service.Comparisons;

/// <summary>A request for a comparison that has passed every check.</summary>
/// <param name="Id">Of the comparison: digest of what is compared and of the engine's build.</param>
/// <param name="Baseline">Stored.</param>
/// <param name="Candidates">Stored, at least one.</param>
/// <param name="Parts">Ids of the parts to be explained; null: those that matter.</param>
internal sealed record ComparisonRequest(string Id, StoredCase Baseline, IReadOnlyList<StoredCase> Candidates, IReadOnlyList<string>? Parts)
{
    /// <summary>Most candidates of one request.</summary>
    private const int MostCandidates = 32;

    private static readonly string[] Keys = ["baseline", "candidates", "parts"];

    /// <param name="json">As posted, UTF-8.</param>
    /// <param name="store">Of the solutions.</param>
    /// <param name="limits">On what is posted.</param>
    /// <returns>One of the two; every fault is listed.</returns>
    public static (ComparisonRequest? Request, Problem? Problem) Read(ReadOnlyMemory<byte> json, SolutionStore store, LayoutLimits limits)
    {
        var parsed = PostedJson.Parse(json, limits);
        if (parsed.Value is null) return (null, LayoutIntake.Malformed(parsed.Faults, json, limits));
        using var document = parsed.Value;
        var root = document.RootElement;
        var faults = new List<Fault>();
        if (root.ValueKind != JsonValueKind.Object) return (null, Refused([new Fault("", "Must be an object with `baseline` and `candidates`.")]));
        foreach (var group in root.EnumerateObject().GroupBy(member => member.Name))
        {
            if (!Keys.Contains(group.Key)) faults.Add(new Fault("/" + group.Key.Replace("~", "~0", StringComparison.Ordinal).Replace("/", "~1", StringComparison.Ordinal), $"`{group.Key}` is not known here; known are `baseline`, `candidates`, `parts`."));
            else if (group.Count() > 1) faults.Add(new Fault("/" + group.Key, $"`{group.Key}` must be given once; found {group.Count()} times."));
        }
        var baseline = root.TryGetProperty("baseline", out var first) ? Solution(first, "/baseline", store, faults) : Missing("baseline", faults);
        var candidates = ReadCandidates(root, store, faults);
        var parts = ReadParts(root, baseline, candidates, faults);
        if (faults.Count > 0 || baseline is null) return (null, Refused(faults));
        var pieces = candidates.Select(candidate => candidate.Id).Prepend(baseline.Id).Append("parts").Concat(parts ?? []).Append(Builds.Engine);
        string id = ContentId.Of([.. pieces.Select(piece => (ReadOnlyMemory<byte>)Encoding.UTF8.GetBytes(piece))]);
        return (new(id, baseline, candidates, parts), null);
    }

    private static Problem Refused(IReadOnlyList<Fault> faults) => Problem.Of(ProblemKind.InvalidComparisonRequest, faults);

    private static StoredCase? Missing(string key, List<Fault> faults)
    {
        faults.Add(new Fault("", $"`{key}` must be given; it is missing."));
        return null;
    }

    private static StoredCase? Solution(JsonElement value, string pointer, SolutionStore store, List<Fault> faults)
    {
        string? id = value.ValueKind == JsonValueKind.String ? value.GetString() : null;
        var found = id is null ? null : store.Case(id);
        if (found is null) faults.Add(new Fault(pointer, id is null ? "Must be the id of a solution." : $"Must be the id of a solution that is solved; found {id}, which is the id of none."));
        return found;
    }

    private static List<StoredCase> ReadCandidates(JsonElement root, SolutionStore store, List<Fault> faults)
    {
        if (!root.TryGetProperty("candidates", out var value))
        {
            Missing("candidates", faults);
            return [];
        }
        if (value.ValueKind != JsonValueKind.Array || value.GetArrayLength() is 0 or > MostCandidates)
        {
            faults.Add(new Fault("/candidates", $"`candidates` must be a list of 1 to {MostCandidates} ids of solutions."));
            return [];
        }
        var candidates = new List<StoredCase>();
        foreach (var (index, item) in value.EnumerateArray().Index())
        {
            if (Solution(item, $"/candidates/{index}", store, faults) is not { } candidate) continue;
            if (candidates.Exists(other => other.Id == candidate.Id)) faults.Add(new Fault($"/candidates/{index}", $"A solution must be named once; {candidate.Id} is named before."));
            candidates.Add(candidate);
        }
        return candidates;
    }

    private static string[]? ReadParts(JsonElement root, StoredCase? baseline, List<StoredCase> candidates, List<Fault> faults)
    {
        if (!root.TryGetProperty("parts", out var value) || value.ValueKind == JsonValueKind.Null) return null;
        if (value.ValueKind != JsonValueKind.Array || value.EnumerateArray().Any(item => item.ValueKind != JsonValueKind.String))
        {
            faults.Add(new Fault("/parts", "`parts` must be a list of ids of parts."));
            return null;
        }
        string[] parts = [.. value.EnumerateArray().Select(item => item.GetString()!)];
        foreach (var (index, id) in parts.Index())
        {
            bool everywhere = candidates.Prepend(baseline).All(solution => solution is null || solution.Layout.Board.Parts.Any(part => part.Id == id));
            if (!everywhere) faults.Add(new Fault($"/parts/{index}", $"Must be the id of a part that every solution compared has; found {id}."));
            if (parts.Take(index).Contains(id)) faults.Add(new Fault($"/parts/{index}", $"A part must be named once; {id} is named before."));
        }
        return parts;
    }
}
