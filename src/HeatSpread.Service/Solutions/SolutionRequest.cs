using System.Globalization;
using System.Text;
using System.Text.Json;
using HeatSpread.Boards;
using HeatSpread.Insight;
using HeatSpread.Service.Jobs;
using HeatSpread.Service.Layouts;
using HeatSpread.Service.Problems;
using HeatSpread.Service.Storage;
using Microsoft.Extensions.Options;

namespace HeatSpread.Service.Solutions;

/// <summary>A request for a solution that has passed every check.</summary>
/// <param name="Id">Of the solution: digest of layout, conditions, grid and the engine's build.</param>
/// <param name="Layout">What is to be solved.</param>
/// <param name="Conditions">What surrounds it.</param>
/// <param name="Grid">How fine.</param>
/// <param name="SuggestedEdits">How many edits are asked for; null: none, and the usual number is checked for the findings.</param>
/// <param name="ConditionsJson">As posted, in canonical form.</param>
/// <param name="GridJson">As posted, in canonical form; <c>null</c> where it was left out.</param>
internal sealed record SolutionRequest(string Id, LayoutInUse Layout, Conditions Conditions, GridChoice Grid, int? SuggestedEdits, byte[] ConditionsJson, byte[] GridJson) : Work(Id)
{
    private const double CellsPerSecond = 1e6;

    public override string Kind => SolutionWork.KindName;

    /// <summary>From the cells of the asked grid, or the most that a chosen one may have.</summary>
    public override double ExpectedSeconds => (Grid.PitchMeters is { } pitch ? Layout.CellsAt(pitch) : Grid.MaximumCells) / CellsPerSecond;

    /// <summary>The request as one that can be posted, the layout whole.</summary>
    public override byte[] Document()
    {
        using var stream = new MemoryStream();
        using (var writer = new Utf8JsonWriter(stream))
        {
            writer.WriteStartObject();
            WritePart(writer, "layout", Layout.Canonical);
            WritePart(writer, "conditions", ConditionsJson);
            WritePart(writer, "grid", GridJson);
            if (SuggestedEdits is { } edits)
            {
                writer.WriteStartObject("suggest");
                writer.WriteNumber("edits", edits);
                writer.WriteEndObject();
            }
            writer.WriteEndObject();
        }
        return stream.ToArray();
    }

    private static void WritePart(Utf8JsonWriter writer, string name, byte[] json)
    {
        writer.WritePropertyName(name);
        writer.WriteRawValue(json);
    }
}

/// <summary>Reads requests for solutions, and lists every fault of layout, conditions and grid together.</summary>
internal sealed class SolutionRequestReader(LayoutStore layouts, IOptions<ServiceSettings> settings)
{
    private const int LongestQuote = 60;

    private static readonly string[] Keys = ["layout", "conditions", "grid", "suggest"];
    private const int MostEdits = 20;

    private static readonly string[] SuggestKeys = ["edits"];
    private static readonly string[] GridKeys = ["pitchMm", "targetErrorKelvin"];

    /// <param name="json">As posted, UTF-8.</param>
    /// <returns>One of the two.</returns>
    public (SolutionRequest? Request, Problem? Problem) Read(ReadOnlyMemory<byte> json)
    {
        var parsed = PostedJson.Parse(json, settings.Value.Layout);
        if (parsed.Value is null) return (null, LayoutIntake.Malformed(parsed.Faults, json, settings.Value.Layout));
        using var document = parsed.Value;
        var root = document.RootElement;
        if (root.ValueKind != JsonValueKind.Object) return (null, Problem.Of(ProblemKind.InvalidSolutionRequest, [new Fault("", $"Must be an object with `layout` and `conditions`; found {Found(root)}.")]));
        List<Fault> faults = [.. KeyFaults(root, Keys, "")];
        var layout = ReadLayout(root, faults);
        var conditions = ReadConditions(root, layout, faults);
        var grid = ReadGrid(root, layout, faults);
        int? edits = ReadSuggest(root, faults);
        if (faults.Count > 0 || layout is null || conditions is null) return (null, Problem.Of(ProblemKind.InvalidSolutionRequest, faults));
        return (Finish(root, layout, conditions, grid, edits), null);
    }

    private static SolutionRequest Finish(JsonElement root, LayoutInUse layout, Conditions conditions, GridChoice grid, int? edits)
    {
        byte[] conditionsJson = CanonicalJson.Write(root.GetProperty("conditions"));
        byte[] gridJson = root.TryGetProperty("grid", out var given) ? CanonicalJson.Write(given) : "null"u8.ToArray();
        string id = ContentId.Of(Encoding.ASCII.GetBytes(layout.Id), conditionsJson, gridJson, Encoding.ASCII.GetBytes($"{edits}"), Encoding.ASCII.GetBytes(Builds.Engine));
        return new SolutionRequest(id, layout, conditions, grid, edits, conditionsJson, gridJson);
    }

    public LayoutInUse? ReadLayout(JsonElement root, List<Fault> faults)
    {
        const string pointer = "/layout", must = "`layout` must be the id of a stored layout, or a whole layout";
        if (!root.TryGetProperty("layout", out var value))
        {
            faults.Add(new Fault("", must + "; it is missing."));
            return null;
        }
        if (value.ValueKind == JsonValueKind.Object)
        {
            var intake = LayoutIntake.Read(value, pointer, settings.Value.Layout);
            faults.AddRange(intake.Problem?.Faults ?? []);
            return intake.Layout;
        }
        var stored = value.ValueKind == JsonValueKind.String ? layouts.Open(value.GetString()!) : null;
        if (stored is null) faults.Add(new Fault(pointer, $"{must}; found {Found(value)}{(value.ValueKind == JsonValueKind.String ? ", which is the id of none" : "")}."));
        return stored;
    }

    public Conditions? ReadConditions(JsonElement root, LayoutInUse? layout, List<Fault> faults)
    {
        if (!root.TryGetProperty("conditions", out var value))
        {
            faults.Add(new Fault("", "`conditions` must be given; it is missing."));
            return null;
        }
        var reading = ConditionsReader.Read(value, "/conditions", layout?.Board, layout?.Unit ?? "mm", settings.Value.Layout);
        faults.AddRange(reading.Faults);
        return reading.Value;
    }

    public GridChoice ReadGrid(JsonElement root, LayoutInUse? layout, List<Fault> faults)
    {
        int mostChosen = (int)Math.Min(new GridChoice(null, null).MaximumCells, settings.Value.MostUnknowns.Count);
        var chosen = new GridChoice(null, null) { MaximumCells = mostChosen };
        if (!root.TryGetProperty("grid", out var value) || value.ValueKind == JsonValueKind.Null) return chosen;
        if (value.ValueKind != JsonValueKind.Object)
        {
            faults.Add(new Fault("/grid", $"`grid` must be an object with `pitchMm` or `targetErrorKelvin`; found {Found(value)}."));
            return chosen;
        }
        faults.AddRange(KeyFaults(value, GridKeys, "/grid"));
        double? pitchMm = ReadPositive(value, "pitchMm", faults), target = ReadPositive(value, "targetErrorKelvin", faults);
        if (pitchMm is not null && target is not null) faults.Add(new Fault("/grid", "`grid` must have one of `pitchMm` and `targetErrorKelvin`; found both."));
        if (pitchMm is { } pitch && layout is not null && SizeFault(layout, pitch) is { } fault) faults.Add(fault);
        return chosen with { PitchMeters = pitchMm * 1e-3, TargetErrorKelvin = target };
    }

    private static int? ReadSuggest(JsonElement root, List<Fault> faults)
    {
        if (!root.TryGetProperty("suggest", out var value) || value.ValueKind == JsonValueKind.Null) return null;
        if (value.ValueKind != JsonValueKind.Object || !value.TryGetProperty("edits", out var edits))
        {
            faults.Add(new Fault("/suggest", $"`suggest` must be an object with `edits`; found {Found(value)}."));
            return null;
        }
        faults.AddRange(KeyFaults(value, SuggestKeys, "/suggest"));
        if (edits.ValueKind == JsonValueKind.Number && edits.TryGetInt32(out int count) && count is >= 0 and <= MostEdits) return count;
        faults.Add(new Fault("/suggest/edits", $"`edits` must be a whole number from 0 to {MostEdits}; found {Found(edits)}."));
        return null;
    }

    private Fault? SizeFault(LayoutInUse layout, double pitchMm)
    {
        double unknowns = layout.CellsAt(pitchMm * 1e-3);
        var (most, because) = settings.Value.MostUnknowns;
        if (unknowns <= most) return null;
        double coarser = pitchMm * Math.Sqrt(unknowns / most);
        return new Fault("/grid/pitchMm", string.Create(
            CultureInfo.InvariantCulture,
            $"`pitchMm` must be coarse enough for at most {most} cells over all rows of the stack ({because}), about {coarser:G3} on this board; found {pitchMm}, which gives {unknowns:F0}."));
    }

    private static double? ReadPositive(JsonElement grid, string key, List<Fault> faults)
    {
        if (!grid.TryGetProperty(key, out var value)) return null;
        if (value.ValueKind == JsonValueKind.Number && value.TryGetDouble(out double number) && number > 0 && double.IsFinite(number)) return number;
        faults.Add(new Fault("/grid/" + key, $"`{key}` must be a positive number; found {Found(value)}."));
        return null;
    }

    private static IEnumerable<Fault> KeyFaults(JsonElement value, string[] known, string pointer)
    {
        foreach (var group in value.EnumerateObject().GroupBy(member => member.Name))
        {
            string place = pointer + "/" + group.Key.Replace("~", "~0", StringComparison.Ordinal).Replace("/", "~1", StringComparison.Ordinal);
            if (!known.Contains(group.Key)) yield return new Fault(place, $"`{group.Key}` is not known here; known are {string.Join(", ", known.Select(k => $"`{k}`"))}.");
            else if (group.Count() > 1) yield return new Fault(place, $"`{group.Key}` must be given once; found {group.Count()} times.");
        }
    }

    public static string Found(JsonElement value) => value.ValueKind switch
    {
        JsonValueKind.Object => "an object",
        JsonValueKind.Array => "an array",
        JsonValueKind.String => $"the string \"{Shortened(value.GetString()!)}\"",
        _ => Shortened(value.GetRawText()),
    };

    private static string Shortened(string text) => text.Length <= LongestQuote ? text : text[..LongestQuote] + "…";
}
