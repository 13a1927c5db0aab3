using System.Text.Json.Serialization;
using HeatSpread.Service.Layouts;
using HeatSpread.Service.Materials;
using HeatSpread.Service.Operations;
using HeatSpread.Service.Problems;
using HeatSpread.Service.Solutions;

namespace HeatSpread.Service;

/// <summary>Every type that this service writes as JSON.</summary>
[JsonSourceGenerationOptions(
    PropertyNamingPolicy = JsonKnownNamingPolicy.CamelCase,
    DictionaryKeyPolicy = JsonKnownNamingPolicy.Unspecified,
    UseStringEnumConverter = true,
    IgnoreReadOnlyProperties = true,
    NumberHandling = JsonNumberHandling.Strict)]
[JsonSerializable(typeof(LayoutReceipt))]
[JsonSerializable(typeof(LayoutLabels))]
[JsonSerializable(typeof(LayoutList))]
[JsonSerializable(typeof(MaterialList))]
[JsonSerializable(typeof(ProblemBody))]
[JsonSerializable(typeof(SolutionAnswer))]
[JsonSerializable(typeof(SolutionProgress))]
[JsonSerializable(typeof(SolutionLabels))]
[JsonSerializable(typeof(SolutionList))]
[JsonSerializable(typeof(StoredField))]
[JsonSerializable(typeof(HealthAnswer))]
internal sealed partial class ServiceJson : JsonSerializerContext;
