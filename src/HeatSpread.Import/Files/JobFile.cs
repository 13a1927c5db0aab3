using System.Globalization;
using System.Text.Json;
using HeatSpread.Boards;

namespace HeatSpread.Import.Files;

/// <summary>The stack of a Gerber job file (Gerber Job Format Specification, Ucamco): its <c>MaterialStackup</c>, thicknesses in mm.</summary>
internal static class JobFile
{
    private const double UsualMaskUm = 20;

    public static bool IsOne(string text) => text.AsSpan().TrimStart("\uFEFF \r\n\t").StartsWith("{") && text.Contains("\"MaterialStackup\"", StringComparison.Ordinal);

    /// <summary>Rows with copper named L1, L2…; null where the file says no thickness of every copper and dielectric row.</summary>
    public static IReadOnlyList<StackRowDocument>? Stack(string text)
    {
        try
        {
            using var document = JsonDocument.Parse(text, new JsonDocumentOptions { MaxDepth = 32, AllowTrailingCommas = true });
            if (document.RootElement.ValueKind != JsonValueKind.Object || !document.RootElement.TryGetProperty("MaterialStackup", out var stackup) || stackup.ValueKind != JsonValueKind.Array) return null;
            var rows = new List<StackRowDocument>();
            foreach (var row in stackup.EnumerateArray())
            {
                if (Text(row, "Type") is not ("Copper" or "Dielectric" or "SolderMask")) continue;
                if (Row(row, rows) is not { } made) return null;
                rows.Add(made);
            }
            return rows.Exists(r => r.Kind == "copper") ? rows : null;
        }
        catch (JsonException)
        {
            return null;
        }
    }

    private static StackRowDocument? Row(JsonElement row, List<StackRowDocument> above)
    {
        double? micrometers = row.TryGetProperty("Thickness", out var thickness) && thickness.ValueKind == JsonValueKind.Number && thickness.GetDouble() is > 0 and < 100 and var mm ? Math.Round(mm * 1000, 6) : null;
        switch (Text(row, "Type"))
        {
            case "SolderMask": return new StackRowDocument { Kind = "mask", ThicknessUm = micrometers ?? UsualMaskUm };
            case "Copper" when micrometers is { } copper:
                int number = above.Count(r => r.Kind == "copper") + 1;
                return new StackRowDocument { Kind = "copper", Name = string.Create(CultureInfo.InvariantCulture, $"L{number}"), ThicknessUm = copper };
            case "Dielectric" when micrometers is { } dielectric:
                string material = Text(row, "Material") ?? "";
                return new StackRowDocument { Kind = "dielectric", ThicknessUm = dielectric, Material = material.Contains("polyimide", StringComparison.OrdinalIgnoreCase) ? "polyimide-film" : "fr4" };
            default: return null;
        }
    }

    private static string? Text(JsonElement element, string key) =>
        element.ValueKind == JsonValueKind.Object && element.TryGetProperty(key, out var value) && value.ValueKind == JsonValueKind.String ? value.GetString() : null;
}
