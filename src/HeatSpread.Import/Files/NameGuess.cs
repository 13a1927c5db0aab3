using System.Globalization;
using System.Text.RegularExpressions;

namespace HeatSpread.Import.Files;

internal enum FileKind
{
    Copper,
    Profile,
    Drill,

    /// <summary>A component layer of Gerber X3.</summary>
    Component,

    /// <summary>A table of parts' places.</summary>
    Placement,

    /// <summary>IPC-D-356.</summary>
    Netlist,

    /// <summary>A Gerber job file.</summary>
    Job,
    Other,
}

/// <summary>What a file seems to be by its name alone (suffixes and words of the common CAD programs; common practice, no source).</summary>
/// <param name="Kind">Role.</param>
/// <param name="Order">Of a copper layer: grows from the top to the bottom; only its order among the files of a board means something.</param>
/// <param name="What">In words, of a file that is not used.</param>
internal sealed partial record NameGuess(FileKind Kind, double Order, string What)
{
    public const double Top = 0;
    public const double Bottom = 1e6;

    public static NameGuess? Of(string fileName)
    {
        string name = fileName.ToLowerInvariant();
        string suffix = Path.GetExtension(name).TrimStart('.');
        return BySuffix(suffix) ?? ByWords(name);
    }

    private static NameGuess? BySuffix(string suffix)
    {
        switch (suffix)
        {
            case "gtl" or "cmp" or "top": return new(FileKind.Copper, Top, "top copper");
            case "gbl" or "sol" or "bot": return new(FileKind.Copper, Bottom, "bottom copper");
            case "gm1" or "gko" or "gml" or "oln" or "gm" or "dim" or "mil": return new(FileKind.Profile, 0, "board outline");
            case "gts" or "gbs" or "stc" or "sts" or "smt" or "smb": return Other("solder mask");
            case "gto" or "gbo" or "plc" or "pls" or "sst" or "ssb": return Other("legend");
            case "gtp" or "gbp" or "crc" or "crs" or "spt" or "spb": return Other("paste");
            case "gpt" or "gpb": return Other("pad master");
            case "gta" or "gba": return Other("assembly drawing or adhesive");
            default: break;
        }
        var inner = InnerSuffix().Match(suffix);
        if (inner.Success) return new(FileKind.Copper, Number(inner), "inner copper");
        return MechanicalSuffix().IsMatch(suffix) ? Other("mechanical or drill drawing") : null;
    }

    private static NameGuess? ByWords(string name)
    {
        if (Has(name, "drl_map", "drill_map", "drillmap", "drill-map", "drill_drawing", "drilldrawing")) return Other("drill drawing");
        if (Has(name, "paste", "cream", "stencil")) return Other("paste");
        if (Has(name, "mask", "stop", "resist")) return Other("solder mask");
        if (Has(name, "silk", "legend", "overlay", "screen")) return Other("legend");
        if (Has(name, "courtyard", "crtyd", ".fab", "_fab", "-fab", "assembly", "glue", "adhes", "user", "cmts", "eco1", "eco2", "margin")) return Other("drawing or adhesive");
        if (Has(name, "edge.cuts", "edge_cuts", "edge-cuts", "outline", "profile", "boardoutline", "dimension", "keepout", "contour")) return new(FileKind.Profile, 0, "board outline");
        var inner = InnerWords().Match(name);
        if (inner.Success) return new(FileKind.Copper, Number(inner), "inner copper");
        if (Has(name, "f.cu", "f_cu", "f-cu", "top", "front", "component_side")) return new(FileKind.Copper, Top, "top copper");
        if (Has(name, "b.cu", "b_cu", "b-cu", "bottom", "back", "bot.", "_bot", "-bot", "solder_side")) return new(FileKind.Copper, Bottom, "bottom copper");
        var numbered = NumberedLayer().Match(name);
        return numbered.Success ? new(FileKind.Copper, Number(numbered), "copper") : null;
    }

    private static NameGuess Other(string what) => new(FileKind.Other, 0, what);

    private static bool Has(string name, params ReadOnlySpan<string> words)
    {
        foreach (string word in words)
        {
            if (name.Contains(word, StringComparison.Ordinal)) return true;
        }
        return false;
    }

    private static double Number(Match match) => int.Parse(match.Groups["n"].ValueSpan, NumberStyles.None, CultureInfo.InvariantCulture);

    [GeneratedRegex(@"^(g|gp|gi|gl|in|ly)(?<n>\d{1,2})l?$", RegexOptions.CultureInvariant)]
    private static partial Regex InnerSuffix();

    [GeneratedRegex(@"^(gm|gd|gg)\d{1,2}$", RegexOptions.CultureInvariant)]
    private static partial Regex MechanicalSuffix();

    [GeneratedRegex(@"(\bin|_in|inner|internal|innerlayer|inner_layer|intplane|midlayer|mid)[ _-]?(?<n>\d{1,2})", RegexOptions.CultureInvariant)]
    private static partial Regex InnerWords();

    [GeneratedRegex(@"(^|[^a-z])(l|layer|copper|art)[ _-]?(?<n>\d{1,2})([^0-9]|$)", RegexOptions.CultureInvariant)]
    private static partial Regex NumberedLayer();
}
