namespace HeatSpread.Boards;

/// <summary>Looks at the raw text of a document that a JSON parser refused.</summary>
internal static class JsonTextScan
{
    public static bool DepthExceeds(ReadOnlySpan<byte> utf8, int limit)
    {
        int depth = 0;
        for (int i = 0; i < utf8.Length; i++)
        {
            if (utf8[i] == '"') i = EndOfString(utf8, i);
            else if (utf8[i] is (byte)'[' or (byte)'{' && ++depth > limit) return true;
            else if (utf8[i] is (byte)']' or (byte)'}') depth--;
        }
        return false;
    }

    /// <summary>The text with NaN, Infinity and -Infinity outside strings put into quotes; null where there is none.</summary>
    public static byte[]? QuoteNonFiniteLiterals(ReadOnlySpan<byte> utf8)
    {
        MemoryStream? quoted = null;
        int copied = 0;
        for (int i = 0; i < utf8.Length; i++)
        {
            if (utf8[i] == '"')
            {
                i = EndOfString(utf8, i);
                continue;
            }
            int length = NonFiniteLiteralLength(utf8[i..]);
            if (length == 0) continue;
            quoted ??= new MemoryStream(utf8.Length + 64);
            quoted.Write(utf8[copied..i]);
            quoted.WriteByte((byte)'"');
            quoted.Write(utf8.Slice(i, length));
            quoted.WriteByte((byte)'"');
            copied = i + length;
            i = copied - 1;
        }
        quoted?.Write(utf8[copied..]);
        return quoted?.ToArray();
    }

    private static int NonFiniteLiteralLength(ReadOnlySpan<byte> text) =>
        text.StartsWith("NaN"u8) ? 3 : text.StartsWith("Infinity"u8) ? 8 : text.StartsWith("-Infinity"u8) ? 9 : 0;

    /// <summary>Index of the closing quote of the string that begins at <paramref name="start"/>, or the last index.</summary>
    private static int EndOfString(ReadOnlySpan<byte> utf8, int start)
    {
        int i = start + 1;
        while (i < utf8.Length && utf8[i] != '"') i += utf8[i] == '\\' ? 2 : 1;
        return Math.Min(i, utf8.Length - 1);
    }
}
