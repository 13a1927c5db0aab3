using System.Text.Encodings.Web;
using System.Text.Json;
using System.Text.Json.Serialization;
using HeatSpread.Service.Access;
using HeatSpread.Service.Analysis;
using HeatSpread.Service.Comparisons;
using HeatSpread.Service.Distributed;
using HeatSpread.Service.Jobs.Embedded;
using HeatSpread.Service.Layouts;
using HeatSpread.Service.Materials;
using HeatSpread.Service.Operations;
using HeatSpread.Service.Problems;
using HeatSpread.Service.Solutions;
using HeatSpread.Service.Studies;
using HeatSpread.Service.Viewing;

namespace HeatSpread.Service;

/// <summary>Every type that this service writes as JSON.</summary>
[JsonSourceGenerationOptions(
    PropertyNamingPolicy = JsonKnownNamingPolicy.CamelCase,
    DictionaryKeyPolicy = JsonKnownNamingPolicy.Unspecified,
    UseStringEnumConverter = true,
    IgnoreReadOnlyProperties = true,
    NumberHandling = JsonNumberHandling.Strict)]
[JsonSerializable(typeof(LayoutReceipt))]
[JsonSerializable(typeof(LayoutPreview))]
[JsonSerializable(typeof(LayoutLabels))]
[JsonSerializable(typeof(LayoutList))]
[JsonSerializable(typeof(IReadOnlyList<string>))]
[JsonSerializable(typeof(MaterialList))]
[JsonSerializable(typeof(ProblemBody))]
[JsonSerializable(typeof(SolutionAnswer))]
[JsonSerializable(typeof(SolutionProgress))]
[JsonSerializable(typeof(WorkState))]
[JsonSerializable(typeof(WorkMessage))]
[JsonSerializable(typeof(Manifest))]
[JsonSerializable(typeof(AcceptedLabels))]
[JsonSerializable(typeof(EndedLabels))]
[JsonSerializable(typeof(SolutionLabels))]
[JsonSerializable(typeof(SolutionList))]
[JsonSerializable(typeof(StoredField))]
[JsonSerializable(typeof(InfluenceAnswer))]
[JsonSerializable(typeof(BoardPlanAnswer))]
[JsonSerializable(typeof(System.Text.Json.Nodes.JsonNode))]
[JsonSerializable(typeof(PaletteList))]
[JsonSerializable(typeof(TriedAnswer))]
[JsonSerializable(typeof(ComparisonAnswer))]
[JsonSerializable(typeof(ComparisonLabels))]
[JsonSerializable(typeof(ComparisonList))]
[JsonSerializable(typeof(StudyAnswer))]
[JsonSerializable(typeof(StudyPart))]
[JsonSerializable(typeof(StudyLabels))]
[JsonSerializable(typeof(StudyPartLabels))]
[JsonSerializable(typeof(StudyList))]
[JsonSerializable(typeof(HealthAnswer))]
[JsonSerializable(typeof(ApiKey))]
[JsonSerializable(typeof(ApiKey[]))]
[JsonSerializable(typeof(KeyList))]
[JsonSerializable(typeof(MadeKey))]
[JsonSerializable(typeof(AuditLine))]
internal sealed partial class ServiceJson : JsonSerializerContext
{
    /// <summary>As it is sent and stored: signs such as ° and ` as they are, for people read the answers too, and none of it is put into HTML.</summary>
    public static ServiceJson Written => Readable.Types;

    // A class of its own: the order of static initializers over the parts of a generated class is not fixed.
    private static class Readable
    {
        public static readonly ServiceJson Types = new(new JsonSerializerOptions(Default.Options!) { Encoder = JavaScriptEncoder.UnsafeRelaxedJsonEscaping });
    }
}
