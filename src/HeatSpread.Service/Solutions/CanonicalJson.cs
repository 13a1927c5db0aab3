using System.Text.Json;

namespace HeatSpread.Service.Solutions;

/// <summary>JSON of which equal values have equal bytes: keys in order, no white space, numbers in their shortest form.</summary>
internal static class CanonicalJson
{
    public static byte[] Write(JsonElement value)
    {
        using var stream = new MemoryStream();
        using (var writer = new Utf8JsonWriter(stream)) Write(value, writer);
        return stream.ToArray();
    }

    private static void Write(JsonElement value, Utf8JsonWriter writer)
    {
        switch (value.ValueKind)
        {
            case JsonValueKind.Object:
                writer.WriteStartObject();
                foreach (var member in value.EnumerateObject().OrderBy(m => m.Name, StringComparer.Ordinal))
                {
                    writer.WritePropertyName(member.Name);
                    Write(member.Value, writer);
                }
                writer.WriteEndObject();
                break;
            case JsonValueKind.Array:
                writer.WriteStartArray();
                foreach (var item in value.EnumerateArray()) Write(item, writer);
                writer.WriteEndArray();
                break;
            case JsonValueKind.Number:
                writer.WriteNumberValue(value.GetDouble());
                break;
            default:
                value.WriteTo(writer);
                break;
        }
    }
}
