using System.Text.Json;
using System.Text.Unicode;

namespace HeatSpread.Boards;

/// <summary>From the bytes of a request to JSON, with the place of whatever is not JSON.</summary>
public static class PostedJson
{
    private static ReadOnlySpan<byte> ByteOrderMark => [0xEF, 0xBB, 0xBF];

    /// <param name="utf8">What was posted. The document that is returned may refer to it: do not change it while that lives.</param>
    /// <param name="limits">For <see cref="LayoutLimits.Depth"/>; null: the defaults.</param>
    /// <returns>
    /// The document, which the caller disposes, or the one fault that keeps it from being read. The literals NaN, Infinity and -Infinity, which are
    /// not JSON but which some writers emit, come as strings, so that they are faults of their own place and hide no others.
    /// </returns>
    public static Reading<JsonDocument> Parse(ReadOnlyMemory<byte> utf8, LayoutLimits? limits = null)
    {
        limits ??= LayoutLimits.Default;
        if (utf8.Span.StartsWith(ByteOrderMark)) utf8 = utf8[ByteOrderMark.Length..];
        if (!Utf8.IsValid(utf8.Span)) return Refuse("The document must be UTF-8; it holds bytes that are not.");
        var options = new JsonDocumentOptions { MaxDepth = limits.Depth };
        try
        {
            return Checked(JsonDocument.Parse(utf8, options), utf8.Span, limits);
        }
        catch (JsonException fault)
        {
            if (JsonTextScan.DepthExceeds(utf8.Span, limits.Depth))
                return Refuse($"The document is nested deeper than the limit of {limits.Depth} (Depth).");
            var quoted = JsonTextScan.QuoteNonFiniteLiterals(utf8.Span);
            return (quoted is null ? null : ParseOrNull(quoted, options)) is { } document
                ? Checked(document, quoted, limits)
                : Refuse($"The document is not JSON: line {fault.LineNumber + 1}, column {fault.BytePositionInLine + 1}.");
        }
    }

    /// <summary>Whether a document that cannot be read is nested deeper than the limit.</summary>
    public static bool IsTooDeep(ReadOnlySpan<byte> utf8, LayoutLimits limits)
    {
        ArgumentNullException.ThrowIfNull(limits);
        return JsonTextScan.DepthExceeds(utf8, limits.Depth);
    }

    private static JsonDocument? ParseOrNull(byte[] utf8, JsonDocumentOptions options)
    {
        try
        {
            return JsonDocument.Parse(utf8, options);
        }
        catch (JsonException)
        {
            return null; // the fault of the text as posted is told instead
        }
    }

    /// <summary>An escaped half of a surrogate pair is JSON by its grammar and yet no text: reading it would throw.</summary>
    private static Reading<JsonDocument> Checked(JsonDocument document, ReadOnlySpan<byte> utf8, LayoutLimits limits)
    {
        if (utf8.IndexOf("\\u"u8) < 0) return new(document, []);
        var reader = new Utf8JsonReader(utf8, new JsonReaderOptions { MaxDepth = limits.Depth });
        while (reader.Read())
        {
            if (reader.TokenType is not (JsonTokenType.String or JsonTokenType.PropertyName) || !reader.ValueIsEscaped) continue;
            try
            {
                reader.GetString();
            }
            catch (InvalidOperationException)
            {
                document.Dispose();
                return Refuse($"The string at byte {reader.TokenStartIndex} holds half of a surrogate pair; it must be whole characters.");
            }
        }
        return new(document, []);
    }

    private static Reading<JsonDocument> Refuse(string detail) => new(null, [new Fault("", detail)]);
}
