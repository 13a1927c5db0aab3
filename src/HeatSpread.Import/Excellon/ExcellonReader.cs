using System.Globalization;
using System.Text.RegularExpressions;
using HeatSpread.Boards;
using HeatSpread.Import.Shapes;

namespace HeatSpread.Import.Excellon;

/// <summary>
/// Reads drill files: the XNC format (Ucamco) and the Excellon dialects around it. What a file does not say about its numbers is taken from
/// <c>assumed</c> and reported in <see cref="DrillFile.Unknowns"/>.
/// </summary>
internal sealed partial class ExcellonReader
{
    private readonly FileNotes notes;
    private readonly ImportLimits limits;
    private readonly DrillNumberFormat assumed;
    private readonly List<DrilledHole> holes = [];
    private readonly List<RoutedSlot> slots = [];
    private readonly Dictionary<int, DrillTool> tools = [];
    private readonly Gerber.AttributeDictionary attributes = new();

    private bool? isInch;
    private bool? leadingKept;
    private (int Whole, int Fraction)? digits;
    private DrillUnknowns unknowns;
    private bool? typePlated;
    private int line;
    private int tool = -1;
    private Point current;
    private Point zero;
    private bool isIncremental;
    private bool inRoute;
    private List<Point>? route;
    private int interpolation = 1;
    private int patternStart;
    private int patternEnd = -1;
    private Point patternShift;
    private bool ended;
    private bool stopped;

    private ExcellonReader(FileNotes notes, ImportLimits limits, DrillNumberFormat assumed)
    {
        this.notes = notes;
        this.limits = limits;
        this.assumed = assumed;
    }

    private sealed record DrillTool(double Diameter, bool? IsPlated);

    /// <exception cref="UnreadableFileException">The file cannot be read on, or it exceeds the limits.</exception>
    public static DrillFile Read(string text, DrillNumberFormat assumed, FileNotes notes, ImportLimits limits, CancellationToken cancellationToken)
    {
        var reader = new ExcellonReader(notes, limits, assumed);
        foreach (string raw in text.Split('\n'))
        {
            cancellationToken.ThrowIfCancellationRequested();
            reader.line++;
            reader.ObeyLine(raw.Trim(' ', '\t', '\r', '\0', '\uFEFF', '\u001A'));
            if (reader.ended) break;
        }
        reader.EndRoute();
        if (!reader.ended && !reader.stopped) notes.Warn(0, "does not end with M30: it may have been cut off");
        return new DrillFile { Holes = reader.holes, Slots = reader.slots, FileAttributes = reader.attributes.File, Unknowns = reader.unknowns };
    }

    private UnreadableFileException Unreadable(string detail, int column = 1) => new(line, column, detail);

    private void ObeyLine(string text)
    {
        if (text.Length == 0 || text == "%") return;
        if (text[0] == ';' || text[0] == '(') ObeyComment(text[1..].Trim());
        else if (text.StartsWith("G04", StringComparison.Ordinal)) ObeyComment(text[3..].Trim(' ', '*'));
        else if (!ObeyHeader(text)) ObeyWords(text);
    }

    private void ObeyComment(string comment)
    {
        if (comment.StartsWith("#@!", StringComparison.Ordinal)) attributes.Obey(comment[3..].Trim());
        else if (comment.StartsWith("TYPE=", StringComparison.Ordinal)) typePlated = comment[5..].Trim() switch { "PLATED" => true, "NON_PLATED" => false, _ => typePlated };
        else if (ToolList().Match(comment) is { Success: true } listed) ObeyToolList(listed);
        else if (comment.StartsWith("FILE_FORMAT=", StringComparison.Ordinal)) digits = ParseDigits(comment[12..].Trim()) ?? digits;
        else if (comment.StartsWith("FORMAT={", StringComparison.Ordinal)) ObeyFormatComment(comment[8..]);
    }

    /// <summary>A comment such as <c>T01 Holesize 1. = 12.000000 Tolerance = +0/-0 PLATED MILS Quantity = 4</c>: the tool list of one family of programs.</summary>
    private void ObeyToolList(Match listed)
    {
        double unit = listed.Groups["unit"].Value switch { "MILS" => Lengths.MillimetersPerInch / 1000, "INCH" or "INCHES" => Lengths.MillimetersPerInch, _ => 1 };
        string number = listed.Groups["tool"].Success ? listed.Groups["tool"].Value : listed.Groups["size"].Value;
        if (!int.TryParse(number, NumberStyles.None, CultureInfo.InvariantCulture, out int index) || !double.TryParse(listed.Groups["diameter"].ValueSpan, NumberStyles.AllowDecimalPoint, CultureInfo.InvariantCulture, out double diameter)) return;
        if (diameter * unit < Lengths.Farthest) tools[index] = new DrillTool(Lengths.Round(diameter * unit), listed.Groups["plating"].Value switch { "PLATED" => true, "NON_PLATED" => false, _ => null });
    }

    [GeneratedRegex(@"^(T(?<tool>\d+)\s+)?Holesize\s+(?<size>\d+)\.?\s*=\s*(?<diameter>[\d.]+).*?\b(?<plating>PLATED|NON_PLATED|OPTIONAL)?\s+(?<unit>MILS|MM|INCHES|INCH)\b", RegexOptions.CultureInvariant, matchTimeoutMilliseconds: 1000)]
    private static partial Regex ToolList();

    /// <summary>A comment such as <c>FORMAT={3:3/ absolute / metric / suppress leading zeros}</c>.</summary>
    private void ObeyFormatComment(string text)
    {
        digits = ParseDigits(text) ?? digits;
        if (text.Contains("suppress leading", StringComparison.OrdinalIgnoreCase)) leadingKept = false;
        else if (text.Contains("suppress trailing", StringComparison.OrdinalIgnoreCase)) leadingKept = true;
        if (isInch is null && text.Contains("metric", StringComparison.OrdinalIgnoreCase)) isInch = false;
        else if (isInch is null && text.Contains("inch", StringComparison.OrdinalIgnoreCase)) isInch = true;
    }

    private static (int Whole, int Fraction)? ParseDigits(string text) =>
        text.Length >= 3 && char.IsAsciiDigit(text[0]) && text[1] is ':' or '.' && char.IsAsciiDigit(text[2]) ? (text[0] - '0', text[2] - '0') : null;

    /// <summary>Words that stand alone on a line, in the header above all; true when obeyed.</summary>
    private bool ObeyHeader(string text)
    {
        string[] fields = text.Split(',', StringSplitOptions.TrimEntries);
        switch (fields[0].ToUpperInvariant())
        {
            case "METRIC": ObeyUnit(false, fields); return true;
            case "INCH": ObeyUnit(true, fields); return true;
            case "ICI": isIncremental = fields.Length > 1 && fields[1] == "ON"; return true;
            case "M48" or "M95" or "FMAT" or "VER" or "DETECT" or "ATC" or "OM48" or "R" or "SBK" or "SG" or "TCST" or "UP" or "Z" or "BLKD" or "AFS" or "CCW" or "CP" or "NCSL": return true;
            case "M30": ended = true; return true;
            case "M00": stopped = true; return true; // a stop, for a change of tool or at the end
            default: return false;
        }
    }

    private void ObeyUnit(bool inch, string[] fields)
    {
        isInch = inch;
        foreach (string field in fields.Skip(1))
        {
            if (field == "LZ") leadingKept = true;
            else if (field == "TZ") leadingKept = false;
            else if (field.Contains('.', StringComparison.Ordinal) && field.All(c => c is '0' or '.')) digits = (field.IndexOf('.', StringComparison.Ordinal), field.Length - 1 - field.IndexOf('.', StringComparison.Ordinal));
        }
    }

    private bool IsInch
    {
        get
        {
            if (isInch is null) unknowns |= DrillUnknowns.Unit;
            return isInch ?? assumed.IsInch;
        }
    }

    private double Unit => IsInch ? Lengths.MillimetersPerInch : 1;

    /// <summary>A coordinate or length in mm.</summary>
    private double Length(ReadOnlySpan<char> word, int column)
    {
        double? value = word.Contains('.') ? double.TryParse(word, NumberStyles.AllowLeadingSign | NumberStyles.AllowDecimalPoint, CultureInfo.InvariantCulture, out double number) ? number : null : FromDigits(word);
        return value is { } v && Math.Abs(v * Unit) < Lengths.Farthest ? Lengths.Round(v * Unit) : throw Unreadable($"'{word}' must be a length within 9 m of the origin", column);
    }

    private double? FromDigits(ReadOnlySpan<char> word)
    {
        bool negative = word.Length > 0 && word[0] == '-';
        var figures = word.TrimStart("+-");
        if (figures.Length is 0 or > 15 || !long.TryParse(figures, NumberStyles.None, CultureInfo.InvariantCulture, out long number)) return null;
        if (number == 0) return 0;
        if (leadingKept is null) unknowns |= DrillUnknowns.Zeros;
        if (digits is null) unknowns |= DrillUnknowns.Digits;
        bool fromLeft = leadingKept ?? assumed.LeadingKept;
        var (whole, fraction) = digits ?? (IsInch == assumed.IsInch ? (assumed.Whole, assumed.Fraction) : (DrillNumberFormat.Usual(IsInch, fromLeft).Whole, DrillNumberFormat.Usual(IsInch, fromLeft).Fraction));
        double value = number / Math.Pow(10, fromLeft ? figures.Length - whole : fraction);
        return negative ? -value : value;
    }

    /// <summary>Defines or selects a tool: <c>T01C0.3F200S100</c>, <c>T1</c>.</summary>
    private void ObeyTool(string text)
    {
        int at = 1;
        while (at < text.Length && char.IsAsciiDigit(text[at])) at++;
        if (!int.TryParse(text.AsSpan(1, at - 1), NumberStyles.None, CultureInfo.InvariantCulture, out int number)) throw Unreadable("'T' must be followed by the tool's number");
        int diameterAt = text.IndexOf('C', at);
        EndRoute();
        if (diameterAt < 0)
        {
            // Four digits: the tool and, after it, an index of compensation.
            tool = tools.ContainsKey(number) || at != 5 ? number : number / 100;
            return;
        }
        int end = diameterAt + 1;
        while (end < text.Length && (char.IsAsciiDigit(text[end]) || text[end] == '.')) end++;
        double diameter = Length(text.AsSpan(diameterAt + 1, end - diameterAt - 1), diameterAt + 2);
        tools[number] = new DrillTool(diameter, PlatingOf(attributes.ApertureFunction) ?? typePlated);
        tool = number;
    }

    private static bool? PlatingOf(string? function) => function is null ? null
        : function.StartsWith("Plated", StringComparison.Ordinal) ? true
        : function.StartsWith("NonPlated", StringComparison.Ordinal) ? false : null;

    private DrillTool CurrentTool()
    {
        if (!tools.TryGetValue(tool, out var selected)) throw Unreadable(tool < 0 ? "a tool must be selected before a hole is drilled" : $"tool T{tool} must have a diameter (T{tool}C…) before it is used");
        return selected.Diameter > 0 ? selected : throw Unreadable($"tool T{tool} must have a diameter above 0");
    }

    private void AddHole(Point at)
    {
        if (holes.Count + slots.Count >= limits.MaxHoles) throw Unreadable($"a file may make {limits.MaxHoles} holes at most, repeats counted, and this one makes more");
        var used = CurrentTool();
        holes.Add(new DrilledHole(at, used.Diameter, used.IsPlated));
    }

    private void AddSlot(IReadOnlyList<Point> path)
    {
        if (holes.Count + slots.Count >= limits.MaxHoles) throw Unreadable($"a file may make {limits.MaxHoles} holes at most, repeats counted, and this one makes more");
        var used = CurrentTool();
        slots.Add(new RoutedSlot(path, used.Diameter, used.IsPlated));
    }
}
