using System.Text.Json.Nodes;
using Microsoft.OpenApi;
using Swashbuckle.AspNetCore.SwaggerGen;

namespace HeatSpread.Service.OpenApi;

/// <summary>Gives each number of an answer its unit (<c>x-unit</c>) and its range: both follow from the key, which carries the unit.</summary>
internal sealed class QuantityRanges : ISchemaFilter
{
    private const string AbsoluteZeroCelsius = "-273.15";

    /// <summary>Keys or ends of keys, the first that fits holds.</summary>
    private static readonly Quantity[] Quantities =
    [
        new("FilmWattsPerM2K", "W/(m²·K)", Minimum: "0"), new("AmpsPerMm2", "A/mm²", Minimum: "0"), new("kelvinPerMm2", "K/mm²"), new("joulesPerM3K", "J/(m³·K)", Above: "0"),
        new("gridErrorKelvin", "K", Minimum: "0"), new("jumpKelvin", "K", Minimum: "0"), new("scaleKelvin", "K", Minimum: "0"), new("kelvin", "K"),
        new("celsius", "°C", Minimum: AbsoluteZeroCelsius), new("dissipatedWatts", "W", Minimum: "0"), new("radiationWatts", "W"), new("wattsPerVia", "W"), new("watts", "W"),
        new("millivolts", "mV"), new("amps", "A"), new("volts", "V"), new("areaMm2", "mm²", Minimum: "0"), new("outlineMm2", "mm²", Above: "0"), new("mm2", "mm²"),
        new("pitchMm", "mm", Above: "0"), new("drillMm", "mm", Above: "0"), new("mm", "mm", Minimum: "0"), new("thicknessUm", "µm", Above: "0"), new("rotationDegrees", "°"),
        new("percent", "%", Minimum: "0", Maximum: "100"), new("copperShare", "1", Minimum: "0", Maximum: "1"), new("planeShare", "1", Minimum: "0"), new("throughShare", "1", Minimum: "0"),
        new("efficiency", "1", Minimum: "0", Maximum: "1"), new("dutyRatio", "1", Minimum: "0", Maximum: "1"), new("relativeResidual", "1", Minimum: "0"),
        new("rayleigh", "1", Minimum: "0"), new("reynolds", "1", Minimum: "0"), new("nusselt", "1", Minimum: "0"), new("prandtl", "1", Above: "0"),
        new("inPlane", "W/(m·K)", Above: "0"), new("through", "W/(m·K)", Above: "0"),
        new("unknowns", null, Minimum: "1"), new("columns", null, Minimum: "1"), new("rows", null, Minimum: "1"), new("rank", null, Minimum: "1"), new("iterations", null, Minimum: "0"),
        new("count", null, Minimum: "1"), new("entry", null, Minimum: "0"), new("nets", null, Minimum: "0"), new("parts", null, Minimum: "0"), new("terminals", null, Minimum: "0"),
        new("status", null, Minimum: "400", Maximum: "599"), new("length", "layout's unit", Minimum: "0"), new("width", "layout's unit", Minimum: "0"),
    ];

    public void Apply(IOpenApiSchema schema, SchemaFilterContext context)
    {
        bool isSeconds = context.Type == typeof(Solutions.SecondsAnswer);
        foreach (var (key, value) in schema.Properties ?? new Dictionary<string, IOpenApiSchema>())
        {
            if (value is not OpenApiSchema property || property.Type is not { } type || !(type.HasFlag(JsonSchemaType.Number) || type.HasFlag(JsonSchemaType.Integer))) continue;
            if (isSeconds) Set(property, new(key, "s", Minimum: "0"));
            else if (Array.Find(Quantities, quantity => key.EndsWith(quantity.Key, StringComparison.OrdinalIgnoreCase)) is { } quantity) Set(property, quantity);
        }
    }

    private static void Set(OpenApiSchema property, Quantity quantity)
    {
        property.Minimum ??= quantity.Minimum;
        property.ExclusiveMinimum ??= quantity.Above;
        property.Maximum ??= quantity.Maximum;
        if (quantity.Unit is { } unit) (property.Extensions ??= new Dictionary<string, IOpenApiExtension>())["x-unit"] = new JsonNodeExtension(JsonValue.Create(unit));
    }

    /// <param name="Key">Or its end.</param>
    /// <param name="Unit">Null for what is counted.</param>
    /// <param name="Minimum">Least value.</param>
    /// <param name="Above">What it stays above.</param>
    /// <param name="Maximum">Greatest value.</param>
    private sealed record Quantity(string Key, string? Unit, string? Minimum = null, string? Above = null, string? Maximum = null);
}
