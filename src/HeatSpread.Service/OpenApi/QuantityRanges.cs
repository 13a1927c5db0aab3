using System.Text.Json.Nodes;
using Microsoft.OpenApi;
using Swashbuckle.AspNetCore.SwaggerGen;

namespace HeatSpread.Service.OpenApi;

/// <summary>Gives each number its unit (<c>x-unit</c>) and, where there is one and the schema does not say it, its range: both follow from the key, which carries the unit.</summary>
internal sealed class QuantityRanges : IDocumentFilter
{
    private const string AbsoluteZeroCelsius = "-273.15";

    /// <summary>Keys or ends of keys, the first that fits holds.</summary>
    private static readonly Quantity[] Quantities =
    [
        new("FilmWattsPerM2K", "W/(m²·K)", Minimum: "0"), new("AmpsPerMm2", "A/mm²", Minimum: "0"), new("kelvinPerMm2", "K/mm²"), new("joulesPerM3K", "J/(m³·K)", Above: "0"),
        new("joulesPerKelvin", "J/K", Minimum: "0"), new("perKelvin", "1/K"), new("kelvinPerWatt", "K/W"), new("kelvinPerUnit", "K per unit of the axis"), new("kilopascal", "kPa"),
        new("nanoseconds", "ns", Minimum: "0"), new("milliamps", "mA"), new("milliohm", "mΩ"), new("kilohertz", "kHz"), new("microhenry", "µH"), new("nanocoulomb", "nC"),
        new("standardUncertaintyKelvin", "K", Above: "0"), new("deviationKelvin", "K", Minimum: "0"), new("rootMeanSquareKelvin", "K", Minimum: "0"), new("gridErrorKelvin", "K", Minimum: "0"), new("jumpKelvin", "K", Minimum: "0"), new("scaleKelvin", "K", Minimum: "0"), new("kelvin", "K"),
        new("celsius", "°C", Minimum: AbsoluteZeroCelsius), new("dissipatedWatts", "W", Minimum: "0"), new("radiationWatts", "W"), new("wattsPerVia", "W"), new("watts", "W"),
        new("millivolts", "mV"), new("amps", "A"), new("volts", "V"), new("areaMm2", "mm²", Minimum: "0"), new("outlineMm2", "mm²", Above: "0"), new("mm2", "mm²"),
        new("pitchMm", "mm", Above: "0"), new("drillMm", "mm", Above: "0"), new("mm", "mm", Minimum: "0"), new("thicknessUm", "µm", Above: "0"), new("rotationDegrees", "°"),
        new("percent", "%", Minimum: "0", Maximum: "100"), new("copperShare", "1", Minimum: "0", Maximum: "1"), new("planeShare", "1", Minimum: "0"), new("throughShare", "1", Minimum: "0"),
        new("efficiency", "1", Minimum: "0", Maximum: "1"), new("dutyRatio", "1", Minimum: "0", Maximum: "1"), new("relativeResidual", "1", Minimum: "0"),
        new("rayleigh", "1", Minimum: "0"), new("reynolds", "1", Minimum: "0"), new("nusselt", "1", Minimum: "0"), new("prandtl", "1", Above: "0"),
        new("inPlane", "W/(m·K)", Above: "0"), new("through", "W/(m·K)", Above: "0"),
        new("unknowns", null, Minimum: "1"), new("columns", null, Minimum: "1"), new("rows", null, Minimum: "1"), new("rank", null, Minimum: "1"), new("iterations", null, Minimum: "0"),
        new("count", null, Minimum: "1"), new("entry", null, Minimum: "0"), new("nets", null, Minimum: "0"), new("parts", null, Minimum: "0"), new("terminals", null, Minimum: "0"),
        new("filmResiduals", "1", Minimum: "0"), new("chiSquare", "1", Minimum: "0"), new("errorCorrelations", "1", Minimum: "-1", Maximum: "1"), new("probability", "1", Minimum: "0", Maximum: "1"),
        new("sampledShare", "1", Minimum: "0"), new("linearShare", "1", Maximum: "1"), new("share", "1", Minimum: "0", Maximum: "1"), new("heatAt", "1", Minimum: "0", Maximum: "1"),
        new("nodes", "°C", Minimum: AbsoluteZeroCelsius), new("seconds", "s", Minimum: "0"), new("origin", "mm"), new("pixel", "pixels", Minimum: "0"),
        new("path", "layout's unit"), new("coordinates", "layout's unit"), new("point", "layout's unit"),
        new("degreesOfFreedom", null, Minimum: "0"), new("rasters", null, Minimum: "0"), new("setUps", null, Minimum: "0"), new("solves", null, Minimum: "0"), new("superposed", null, Minimum: "0"),
        new("samples", null, Minimum: "0"), new("steps", null, Minimum: "0"), new("done", null, Minimum: "0"), new("index", null, Minimum: "0"), new("axis", null, Minimum: "0"),
        new("status", null, Minimum: "400", Maximum: "599"), new("length", "layout's unit", Minimum: "0"), new("width", "layout's unit", Minimum: "0"),
    ];

    /// <summary>Keys too short to be told by their end.</summary>
    private static readonly Dictionary<string, Quantity> Exact = new(StringComparer.Ordinal) { ["at"] = new("at", "layout's unit"), ["of"] = new("of", null, Minimum: "0") };

    /// <summary>Keys whose numbers are in the unit of what they belong to, where that is known, else of what is varied or fitted.</summary>
    private static readonly string[] Bare = ["values", "from", "to", "least", "most", "mean", "mode", "start", "value", "base", "allowed", "resolution", "standardError", "interval95"];

    private static readonly Quantity Varied = new("", "that of what is varied");

    public void Apply(OpenApiDocument swaggerDoc, DocumentFilterContext context)
    {
        foreach (var (name, schema) in swaggerDoc.Components?.Schemas ?? new Dictionary<string, IOpenApiSchema>()) Visit(name, null, name == nameof(Solutions.SecondsAnswer), schema);
        var parameters = swaggerDoc.Paths.Values.SelectMany(path => path.Operations?.Values ?? Enumerable.Empty<OpenApiOperation>()).SelectMany(operation => operation.Parameters ?? []);
        foreach (var parameter in parameters)
        {
            if (parameter is { Name: "curve", Schema: OpenApiSchema curve }) curve.Minimum ??= "0";
        }
    }

    /// <summary>Numbers below a key, in lists and maps too. What is referred to is visited where it stands.</summary>
    private static void Visit(string key, Quantity? owner, bool isSeconds, IOpenApiSchema? schema)
    {
        if (schema is not OpenApiSchema here) return;
        var own = Exact.GetValueOrDefault(key) ?? Array.Find(Quantities, quantity => key.EndsWith(quantity.Key, StringComparison.OrdinalIgnoreCase));
        var quantity = isSeconds ? new Quantity(key, "s", Minimum: "0") : Bare.Contains(key) ? owner ?? Varied : own;
        if (quantity is not null && here.Type is { } type && (type.HasFlag(JsonSchemaType.Number) || type.HasFlag(JsonSchemaType.Integer))) Set(here, quantity);
        foreach (var (name, property) in here.Properties ?? new Dictionary<string, IOpenApiSchema>()) Visit(name, own?.Unit is null ? null : own, isSeconds, property);
        foreach (var below in (IEnumerable<IOpenApiSchema?>)[here.Items, here.AdditionalProperties, .. here.OneOf ?? [], .. here.AnyOf ?? [], .. here.AllOf ?? []]) Visit(key, owner, isSeconds, below);
    }

    private static void Set(OpenApiSchema property, Quantity quantity)
    {
        if (property.Minimum is null && property.ExclusiveMinimum is null) (property.Minimum, property.ExclusiveMinimum) = (quantity.Minimum, quantity.Above);
        if (property.ExclusiveMaximum is null) property.Maximum ??= quantity.Maximum;
        if (quantity.Unit is { } unit) (property.Extensions ??= new Dictionary<string, IOpenApiExtension>())["x-unit"] = new JsonNodeExtension(JsonValue.Create(unit));
    }

    /// <param name="Key">Or its end.</param>
    /// <param name="Unit">Null for what is counted.</param>
    /// <param name="Minimum">Least value.</param>
    /// <param name="Above">What it stays above.</param>
    /// <param name="Maximum">Greatest value.</param>
    private sealed record Quantity(string Key, string? Unit, string? Minimum = null, string? Above = null, string? Maximum = null);
}
