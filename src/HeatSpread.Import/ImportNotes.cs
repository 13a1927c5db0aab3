using HeatSpread.Boards;

namespace HeatSpread.Import;

/// <summary>Faults and warnings of one import, in the order in which they are met.</summary>
internal sealed class ImportNotes
{
    private readonly List<Fault> faults = [];
    private readonly List<string> warnings = [];

    public IReadOnlyList<Fault> Faults => faults;

    public IReadOnlyList<string> Warnings => warnings;

    public void Fault(string pointer, string detail) => faults.Add(new Fault(pointer, detail));

    /// <summary>A fault of a posted file, not of the description.</summary>
    public void FileFault(string file, string detail) => faults.Add(new Fault("/files/" + Escape(file), detail));

    public void Warn(string warning) => warnings.Add(warning);

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
