using System.Text.Json;

namespace HeatSpread.Boards;

/// <param name="Name">As used in documents.</param>
/// <param name="Conductivity">Used where nothing else is said.</param>
/// <param name="Range">The spread found in practice, W/(m·K), as text.</param>
/// <param name="FromCelsius">Lowest temperature at which the value holds.</param>
/// <param name="ToCelsius">Highest temperature at which the value holds.</param>
/// <param name="Source">Where the value comes from.</param>
public sealed record Material(string Name, Conductivity Conductivity, string Range, double FromCelsius, double ToCelsius, string Source)
{
    /// <summary>How the conductivity depends on temperature; null: as good as not, within the range of temperatures.</summary>
    public ConductivityCurve? Curve { get; init; }

    public string? CurveSource { get; init; }

    /// <summary>Heat capacity by volume, J/(m³·K).</summary>
    public required double JoulesPerCubicMeterKelvin { get; init; }

    public required string HeatCapacitySource { get; init; }
}

/// <summary>The built-in materials, from <c>Data/materials.json</c>.</summary>
public static class Materials
{
    public static IReadOnlyList<Material> BuiltIn { get; } = Read();

    private static readonly Dictionary<string, Material> ByName = BuiltIn.ToDictionary(material => material.Name, StringComparer.Ordinal);

    /// <summary>The built-in material of that name, or null.</summary>
    public static Material? Find(string name) => ByName.GetValueOrDefault(name);

    /// <summary>A built-in material that is known to exist.</summary>
    internal static MaterialValue Default(string name) => ValueOf(ByName[name]);

    internal static MaterialValue ValueOf(Material material) => new(material.Conductivity, material.Curve, material.JoulesPerCubicMeterKelvin)
    {
        Range = new(material.Name, material.FromCelsius, material.ToCelsius, material.Curve is null ? "the same value was used" : "the end of its curve was used"),
    };

    private static IReadOnlyList<Material> Read()
    {
        using var stream = typeof(Materials).Assembly.GetManifestResourceStream("materials.json")!;
        using var document = JsonDocument.Parse(stream);
        return [.. document.RootElement.GetProperty("materials").EnumerateArray().Select(Read)];
    }

    private static Material Read(JsonElement json)
    {
        string Text(string key) => json.GetProperty(key).GetString()!;
        double Number(string key) => json.GetProperty(key).GetDouble();
        ConductivityCurve? curve = json.TryGetProperty("curve", out var points)
            ? new([.. points.EnumerateArray().Select(p => new CurvePoint(p.GetProperty("celsius").GetDouble(), p.GetProperty("share").GetDouble(), p.GetProperty("share").GetDouble()))])
            : null;
        return new Material(Text("name"), new(Number("inPlane"), Number("through")), Text("range"), Number("fromCelsius"), Number("toCelsius"), Text("source"))
        {
            Curve = curve,
            CurveSource = curve is null ? null : Text("curveSource"),
            JoulesPerCubicMeterKelvin = Number("joulesPerM3K"),
            HeatCapacitySource = Text("heatCapacitySource"),
        };
    }
}
