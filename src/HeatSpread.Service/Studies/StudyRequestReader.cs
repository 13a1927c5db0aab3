using System.Text;
using System.Text.Json;
using HeatSpread.Boards;
using HeatSpread.Insight.Studies;
using HeatSpread.Service.Layouts;
using HeatSpread.Service.Problems;
using HeatSpread.Service.Solutions;
using HeatSpread.Service.Storage;
using Microsoft.Extensions.Options;

namespace HeatSpread.Service.Studies;

/// <summary>Reads requests for studies, and lists every fault of the base, the axes and their values together.</summary>
internal sealed class StudyRequestReader(SolutionRequestReader bases, IOptions<ServiceSettings> settings)
{
    private static readonly string[] AskedKeys = ["grid", "axes", "combine", "sample", "derating", "plan", "transient", "correlation"];

    /// <param name="json">As posted, UTF-8.</param>
    /// <returns>One of the two.</returns>
    public (StudyRequest? Request, Problem? Problem) Read(ReadOnlyMemory<byte> json)
    {
        var parsed = PostedJson.Parse(json, settings.Value.Layout);
        if (parsed.Value is null) return (null, LayoutIntake.Malformed(parsed.Faults, json, settings.Value.Layout));
        using var document = parsed.Value;
        var root = document.RootElement;
        if (root.ValueKind != JsonValueKind.Object) return (null, Refused([new Fault("", $"Must be an object with `layout`, `conditions` and what is asked; found {SolutionRequestReader.Found(root)}.")]));
        var faults = new List<Fault>();
        var layout = bases.ReadLayout(root, faults);
        var conditions = bases.ReadConditions(root, layout, faults);
        var grid = bases.ReadGrid(root, layout, faults);
        byte[] conditionsJson = root.TryGetProperty("conditions", out var posted) ? CanonicalJson.Write(posted) : [];
        var cases = layout is not null && conditions is not null ? new StudyCases(layout.Canonical, conditionsJson, layout.Board, layout.Unit, settings.Value.Layout) : null;
        var aims = new StudyAimReader(layout, posted.ValueKind == JsonValueKind.Undefined ? null : posted, cases, settings.Value);
        var aim = aims.Read(root);
        faults.AddRange(aims.Faults);
        if (faults.Count == 0 && cases is not null && aim is not null) faults.AddRange(VariantFaults.Of(cases, aim, root));
        if (faults.Count > 0 || layout is null || conditions is null || cases is null || aim is null) return (null, Refused(faults));
        byte[] asked = Asked(root);
        string id = ContentId.Of("study"u8.ToArray(), Encoding.ASCII.GetBytes(layout.Id), conditionsJson, asked, Encoding.ASCII.GetBytes(Builds.Engine));
        return (new(id, layout, conditions, grid, cases, aim, conditionsJson, asked), null);
    }

    private static Problem Refused(IReadOnlyList<Fault> faults) => Problem.Of(ProblemKind.InvalidStudyRequest, faults);

    private static byte[] Asked(JsonElement root)
    {
        using var stream = new MemoryStream();
        using (var writer = new Utf8JsonWriter(stream))
        {
            writer.WriteStartObject();
            foreach (string key in AskedKeys.Where(key => root.TryGetProperty(key, out var value) && value.ValueKind != JsonValueKind.Null))
            {
                writer.WritePropertyName(key);
                writer.WriteRawValue(CanonicalJson.Write(root.GetProperty(key)));
            }
            writer.WriteEndObject();
        }
        return stream.ToArray();
    }
}
