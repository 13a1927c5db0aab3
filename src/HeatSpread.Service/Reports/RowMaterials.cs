using System.Text.Json;

namespace HeatSpread.Service.Reports;

/// <summary>What the rows of a stack are made of, by name, with the defaults of a layout that names nothing.</summary>
internal static class RowMaterials
{
    /// <param name="layout">Canonical JSON of a layout that was found sound.</param>
    /// <returns>One a row, of a copper row what lies between the copper; null where the layout gives numbers.</returns>
    public static string?[] Of(ReadOnlyMemory<byte> layout)
    {
        using var document = JsonDocument.Parse(layout);
        JsonElement[] rows = [.. document.RootElement.GetProperty("stack").EnumerateArray()];
        bool hasOwn = document.RootElement.TryGetProperty("materials", out var own) && own.ValueKind == JsonValueKind.Object;
        string? Told(string? name) => name is not null && hasOwn && own.TryGetProperty(name, out _) ? $"{name} (of the layout)" : name;
        return [.. rows.Select((row, index) => Told(Kind(row) == "copper" ? Text(row, "between") ?? NearestDielectric(rows, index) : Own(row)))];
    }

    private static string Kind(JsonElement row) => row.GetProperty("kind").GetString()!;

    private static string? Text(JsonElement row, string key) => row.TryGetProperty(key, out var name) && name.ValueKind == JsonValueKind.String ? name.GetString() : null;

    private static string? Own(JsonElement row) =>
        row.TryGetProperty("conductivity", out var given) && given.ValueKind != JsonValueKind.Null ? null : Text(row, "material") ?? (Kind(row) == "mask" ? "solder-mask" : "fr4");

    /// <summary>As the reader of layouts takes it: fewest rows away, the one above where two are equally near.</summary>
    private static string? NearestDielectric(JsonElement[] rows, int row)
    {
        int nearest = Enumerable.Range(0, rows.Length).Where(i => Kind(rows[i]) == "dielectric").DefaultIfEmpty(-1).MinBy(i => Math.Abs(i - row));
        return nearest < 0 ? "fr4" : Own(rows[nearest]);
    }
}
