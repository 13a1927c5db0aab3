using HeatSpread.Boards;

namespace HeatSpread.Import;

/// <summary>Faults and warnings of one import, in the order in which they are met.</summary>
internal sealed class ImportNotes
{
    private readonly List<Fault> faults = [];
    private readonly List<string> warnings = [];
    private readonly Dictionary<string, List<string>> many = new(StringComparer.Ordinal);

    public IReadOnlyList<Fault> Faults => faults;

    public IReadOnlyList<string> Warnings => [.. warnings, .. many.Select(m => string.Format(System.Globalization.CultureInfo.InvariantCulture, m.Key, Names(m.Value)))];

    public void Fault(string pointer, string detail) => faults.Add(new Fault(pointer, detail));

    /// <summary>A fault of a posted file, not of the description.</summary>
    public void FileFault(string file, string detail) => faults.Add(new Fault("/files/" + Escape(file), detail));

    /// <summary>What is said where shapes are so degenerate that no union of them can be made.</summary>
    public const string Unresolved = "line 1, column 1: its shapes must be such that their union can be made; some of them are too degenerate for that";

    public void Warn(string warning) => warnings.Add(warning);

    /// <summary>A warning that is told once for all things that it concerns.</summary>
    /// <param name="warning">With <c>{0}</c> where the names stand.</param>
    /// <param name="name">Of one thing.</param>
    public void WarnOfMany(string warning, string name)
    {
        if (!many.TryGetValue(warning, out var names)) many[warning] = names = [];
        if (names.Count == 0 || names[^1] != name) names.Add(name);
    }

    private static string Names(List<string> names) => string.Join(", ", names.Take(40)) + (names.Count > 40 ? $" and {names.Count - 40} more" : "");

    /// <summary>Reads a file; where it cannot be read, that becomes a fault. Its warnings are kept in either case.</summary>
    public void ReadFile(string name, Action<FileNotes> read)
    {
        var fileNotes = new FileNotes(name);
        try
        {
            read(fileNotes);
        }
        catch (UnreadableFileException unreadable)
        {
            FileFault(name, unreadable.Message);
        }
        catch (NetTopologySuite.Geometries.TopologyException)
        {
            FileFault(name, Unresolved);
        }
        fileNotes.WriteTo(this);
    }

    private static string Escape(string name) => name.Replace("~", "~0", StringComparison.Ordinal).Replace("/", "~1", StringComparison.Ordinal);
}

/// <summary>Warnings of one file; a warning that repeats is told once, with its first line and how often.</summary>
internal sealed class FileNotes(string file)
{
    private readonly Dictionary<string, (int Line, int Count)> seen = [];

    public string File => file;

    public void Warn(int line, string text)
    {
        seen.TryGetValue(text, out var before);
        seen[text] = before.Count == 0 ? (line, 1) : (before.Line, before.Count + 1);
    }

    public void WriteTo(ImportNotes notes)
    {
        foreach (var (text, (line, count)) in seen)
        {
            string place = line > 0 ? $"{file}, line {line}: " : $"{file}: ";
            notes.Warn(place + text + (count > 1 ? $" ({count} times in this file)" : ""));
        }
    }
}

/// <summary>
/// A file cannot be read on from here. Thrown by the readers and turned into a fault where the file was opened; it never leaves this project.
/// </summary>
internal sealed class UnreadableFileException(int line, int column, string detail)
    : Exception($"line {line}, column {column}: {detail}");
