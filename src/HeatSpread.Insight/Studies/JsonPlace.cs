using System.Globalization;
using System.Text.Json.Nodes;

namespace HeatSpread.Insight.Studies;

/// <summary>A member of an object or an item of an array, found by its JSON Pointer (RFC 6901). The member may be missing where its object is there.</summary>
internal readonly record struct JsonPlace(JsonNode Parent, string Key)
{
    public static JsonPlace? Find(JsonNode root, string pointer)
    {
        if (!pointer.StartsWith('/')) return null;
        string[] steps = [.. pointer[1..].Split('/').Select(step => step.Replace("~1", "/", StringComparison.Ordinal).Replace("~0", "~", StringComparison.Ordinal))];
        JsonNode? at = root;
        foreach (string step in steps[..^1]) at = at is null ? null : Step(at, step);
        return at switch
        {
            JsonObject => new JsonPlace(at, steps[^1]),
            JsonArray list when Index(steps[^1]) is { } index && index < list.Count => new JsonPlace(at, steps[^1]),
            _ => null,
        };
    }

    public JsonNode? Node
    {
        get => Step(Parent, Key);
        set
        {
            if (Parent is JsonArray list) list[Index(Key)!.Value] = value;
            else Parent[Key] = value;
        }
    }

    /// <summary>Null where it is not a number.</summary>
    public double? Number => Node is JsonValue value && value.TryGetValue(out double number) ? number : null;

    private static JsonNode? Step(JsonNode at, string step) => at switch
    {
        JsonObject members => members[step],
        JsonArray list when Index(step) is { } index && index < list.Count => list[index],
        _ => null,
    };

    private static int? Index(string step) => int.TryParse(step, NumberStyles.None, CultureInfo.InvariantCulture, out int index) ? index : null;
}
