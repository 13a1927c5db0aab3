using System.Text;
using System.Text.RegularExpressions;

namespace HeatSpread.Import.Files;

internal enum FileSyntax
{
    Gerber,
    Drill,
    Other,
}

/// <summary>Tells what a file is written in by its content, and reads its file function without reading the rest.</summary>
internal static partial class FileContent
{
    /// <summary>UTF-8 where it is valid, else Latin-1; null for binary content.</summary>
    public static string? Text(ReadOnlyMemory<byte> content)
    {
        var bytes = content.Span;
        if (bytes[..Math.Min(bytes.Length, 4096)].Contains((byte)0)) return null;
        var strict = new UTF8Encoding(encoderShouldEmitUTF8Identifier: false, throwOnInvalidBytes: true);
        try
        {
            return strict.GetString(bytes);
        }
        catch (DecoderFallbackException)
        {
            return Encoding.Latin1.GetString(bytes);
        }
    }

    /// <summary>An XML document whose beginning names the IPC-2581 root element, in any encoding that XML readers know.</summary>
    public static bool IsIpc2581(ReadOnlyMemory<byte> content)
    {
        var head = content.Span[..Math.Min(content.Length, 8192)];
        string text = Encoding.Latin1.GetString(head).Replace("\0", "", StringComparison.Ordinal);
        return text.AsSpan().TrimStart("\uFEFF\u00EF\u00BB\u00BF\u00FF\u00FE \r\n\t").StartsWith("<") && RootMark().IsMatch(text);
    }

    public static FileSyntax Syntax(string text)
    {
        string head = text[..Math.Min(text.Length, 20_000)];
        string start = head.TrimStart('\uFEFF', ' ', '\r', '\n', '\t');
        if (start.StartsWith('<')) return FileSyntax.Other;
        if (start.StartsWith('{') || start.StartsWith('[')) return FileSyntax.Other;
        if (GerberMark().IsMatch(head)) return FileSyntax.Gerber;
        if (DrillMark().IsMatch(head)) return FileSyntax.Drill;
        return FileSyntax.Other;
    }

    /// <summary>Fields of <c>.FileFunction</c>, none where the file does not say.</summary>
    public static IReadOnlyList<string> Function(string text)
    {
        var match = FunctionMark().Match(text);
        return match.Success ? match.Groups[1].Value.Split(',', StringSplitOptions.TrimEntries) : [];
    }

    [GeneratedRegex(@"%\s*(FS|MO|ADD|AM|LP|IP|TF)|D0?[123]\*|G0?4[^*]*\*\s*(%|G|X|D)", RegexOptions.CultureInvariant, matchTimeoutMilliseconds: 5000)]
    private static partial Regex GerberMark();

    [GeneratedRegex(@"^\s*(M48|M95)\s*$|^\s*T\d+(F\d+|S\d+)*C[\d.]+|^\s*T\d+\s*$\s*^\s*[XY][+\-\d.]+", RegexOptions.Multiline | RegexOptions.CultureInvariant, matchTimeoutMilliseconds: 5000)]
    private static partial Regex DrillMark();

    [GeneratedRegex(@"<([A-Za-z_][\w.\-]*:)?IPC-2581[\s>]", RegexOptions.CultureInvariant, matchTimeoutMilliseconds: 2000)]
    private static partial Regex RootMark();

    [GeneratedRegex(@"TF\.FileFunction,([^*%\r\n]*)", RegexOptions.CultureInvariant, matchTimeoutMilliseconds: 5000)]
    private static partial Regex FunctionMark();
}
